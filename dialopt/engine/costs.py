"""What a shot costs beside the cup that it is, points of liking. The sizes are common practice put into numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.special import ndtr

from dialopt.model.observations import Floats
from dialopt.model.outcome_model import OutcomeModel
from dialopt.trade.shot import Shot

MISHAP_ABOVE_S, MISHAP_BELOW_S = 60.0, 9.0
"""Shot times beyond which a pull counts as a mishap, s."""
MISHAP = 1.5
"""Points that a mishap costs: a mess, and a shot that tells little of taste."""
GRIND_MOVED, TEMP_MOVED = 0.03, 0.1
"""Points for coffee purged and for water waited for."""


def mishap(outcome_model: OutcomeModel) -> Floats:
    """What the risk of a choked or gushing puck costs at each of n recipes, (n,).

    Twice or half the time at which a mishap begins costs as much again, so that where every recipe within reach is one
    the way out of it is still the cheapest.
    """
    late = _beyond(outcome_model.median_log_time - np.log(MISHAP_ABOVE_S), outcome_model.time_sd)
    early = _beyond(np.log(MISHAP_BELOW_S) - outcome_model.median_log_time, outcome_model.time_sd)
    return np.asarray(MISHAP * (late + early).mean(axis=0))


def _beyond(mean: Floats, sd: Floats) -> Floats:
    """P(x > 0) + E[max(x, 0)]/log 2 of normal log times x beyond a bound. mean: (P, n), sd: (P,)."""
    z = mean / sd[:, None]
    chance = ndtr(z)
    return np.asarray(chance + (mean * chance + sd[:, None] * np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi)) / np.log(2))


def switching(shots: Sequence[Shot], raw: Floats) -> Floats:
    """What turning the dials from the last shot costs, (n,). raw: rows of grind, dose_g, temp_c, (n, 3)."""
    if not shots:
        return np.zeros(len(raw))
    last = shots[-1].recipe
    grind_moved = np.abs(raw[:, 0] - last.grind) > 1e-9
    temp_moved = np.abs(raw[:, 2] - last.temp_c) > 1e-9
    return np.asarray(GRIND_MOVED * grind_moved + TEMP_MOVED * temp_moved)
