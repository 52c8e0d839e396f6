"""The mean that knows the trade: shot time, extraction index and what a distance from the best cup costs.

For P draws and n recipes every function returns shape (P, n).
"""

from __future__ import annotations

import math

import numpy as np
from scipy.special import expit

from dialopt.model.observations import Floats, Inputs
from dialopt.model.priors import Parameters
from dialopt.trade.likely_time import USUAL_S

HILL = 1.47
"""Size of a standard normal number that one in seven passes."""
_FLAT = 0.2
_SHARP = 8.0
"""How sharply a bag is one thing or the other."""


def median_log_time(parameters: Parameters, at: Inputs) -> Floats:
    """Median log shot time, log s: linear in fineness, log dose, temperature, log ratio and days."""
    return (
        math.log(USUAL_S)
        + parameters["time_grind"] * (at.fine - parameters["time_place"])
        + parameters["time_dose"] * at.dose
        + parameters["time_temp"] * at.temp
        + parameters["time_ratio"] * at.ratio
        + parameters["time_drift"] * at.age
    )


def extraction_index(parameters: Parameters, at: Inputs, log_time: Floats) -> Floats:
    """How far past the best cup a recipe extracts, in log units of shot time; below 0 it falls short."""
    return (
        log_time
        - parameters["time_best"]
        + parameters["pull_temp"] * at.temp
        + parameters["pull_dose"] * at.dose
        + parameters["pull_ratio"] * at.ratio
    )


def liking_lost(parameters: Parameters, at: Inputs, index: Floats) -> Floats:
    """Points below the peak: a soft-edged, lopsided valley in the index and weak bowls in temperature, dose and ratio.

    loss = slope · (√(w² + index²) − w), with the slope of the side on which the index lies. The ratio's bowl is that of
    the strength, which is extraction over ratio; it is 0 at `USUAL_RATIO`, so that a ratio that never changes costs
    nothing. Some bags have a second hill, hill_lower below the first and hill_away from it; on some temperature and
    dose do nothing beyond extraction; some are flat, with every slope `_FLAT` as steep.
    """
    lost = _valley(parameters, index)
    side = parameters["hill"]
    two = np.abs(side[:, 0]) > HILL
    if two.any():
        some = parameters.rows(two)
        off = index[two] - np.sign(some["hill"]) * some["hill_away"]
        lost[two] = np.minimum(lost[two], _valley(some, off) + some["hill_lower"])
    matters = expit(_SHARP * parameters["matters"])
    lost += matters * parameters["temp_curve"] * (at.temp - parameters["temp_best"]) ** 2
    lost += matters * parameters["dose_curve"] * (at.dose - parameters["dose_best"]) ** 2
    lost += parameters["ratio_curve"] * at.ratio * (at.ratio - 2.0 * parameters["ratio_best"])
    lost *= _FLAT + (1.0 - _FLAT) * expit(_SHARP * parameters["steep"])
    return lost


def _valley(parameters: Parameters, index: Floats) -> Floats:
    width = parameters["rounding"]
    valley = np.sqrt(index**2 + width**2) - width
    valley *= np.where(index < 0, parameters["under_slope"], parameters["over_slope"])
    return valley
