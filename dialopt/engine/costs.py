"""What a shot costs beside the cup that it is, points of liking."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.special import ndtr

from dialopt.engine.config import CONFIG, Config
from dialopt.model.observations import Floats
from dialopt.model.outcome_model import OutcomeModel
from dialopt.trade.shot import Shot


def mishap(outcome_model: OutcomeModel, config: Config = CONFIG) -> Floats:
    """What the risk of a choked or gushing puck costs at each of n recipes, (n,).

    Twice or half the time at which a mishap begins costs as much again, so that where every recipe within reach is one
    the way out of it is still the cheapest.
    """
    late = _beyond(outcome_model.median_log_time - np.log(config.mishap_s[1]), outcome_model.time_sd)
    early = _beyond(np.log(config.mishap_s[0]) - outcome_model.median_log_time, outcome_model.time_sd)
    return np.asarray(config.mishap * (late + early).mean(axis=0))


def _beyond(mean: Floats, sd: Floats) -> Floats:
    """P(x > 0) + E[max(x, 0)]/log 2 of normal log times x beyond a bound. mean: (P, n), sd: (P,)."""
    z = mean / sd[:, None]
    chance = ndtr(z)
    return np.asarray(chance + (mean * chance + sd[:, None] * np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi)) / np.log(2))


def switching(shots: Sequence[Shot], raw: Floats, config: Config = CONFIG) -> Floats:
    """What turning the dials from the last shot costs, (n,). raw: rows of grind, dose_g, temp_c, ratio, (n, 4)."""
    if not shots:
        return np.zeros(len(raw))
    last = shots[-1].recipe
    grind_moved = np.abs(raw[:, 0] - last.grind) > 1e-9
    degrees = np.abs(raw[:, 2] - last.temp_c)
    wait = config.temp_moved * (degrees > 1e-9) + config.temp_degree * degrees
    return np.asarray(config.grind_moved * grind_moved + wait)
