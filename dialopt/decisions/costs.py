"""What a shot costs beside the cup that it is, points of liking. The sizes are common practice put into numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.special import ndtr

from dialopt.model.outlook import Outlook
from dialopt.model.table import Floats
from dialopt.trade.shot import Shot

MISHAP_ABOVE_S, MISHAP_BELOW_S = 60.0, 9.0
"""Shot times beyond which a pull counts as a mishap, s."""
MISHAP = 1.5
"""Points that a mishap costs: a mess, and a shot that tells little of taste."""
GRIND_MOVED, TEMP_MOVED = 0.03, 0.1
"""Points for coffee purged and for water waited for."""


def mishap(outlook: Outlook) -> Floats:
    """What the risk of a choked or gushing puck costs at each of n recipes, (n,)."""
    slow = ndtr((outlook.log_clock - np.log(MISHAP_ABOVE_S)) / outlook.clock_sd[:, None])
    fast = ndtr((np.log(MISHAP_BELOW_S) - outlook.log_clock) / outlook.clock_sd[:, None])
    return np.asarray(MISHAP * (slow + fast).mean(axis=0))


def bother(shots: Sequence[Shot], raw: Floats) -> Floats:
    """What turning the dials from the last shot costs. raw: rows of grind, dose_g, temp_c, (n, 3). Returns (n,)."""
    if not shots:
        return np.zeros(len(raw))
    last = shots[-1].recipe
    grind_moved = np.abs(raw[:, 0] - last.grind) > 1e-9
    temp_moved = np.abs(raw[:, 2] - last.temp_c) > 1e-9
    return np.asarray(GRIND_MOVED * grind_moved + TEMP_MOVED * temp_moved)
