"""The mean that knows the trade: shot time, extraction index and what a distance from the best cup costs.

For P draws and n recipes every function returns shape (P, n).
"""

from __future__ import annotations

import math

import numpy as np

from dialopt.model.observations import Floats, Inputs
from dialopt.model.priors import Parameters
from dialopt.trade.likely_time import USUAL_S


def median_log_time(parameters: Parameters, at: Inputs) -> Floats:
    """Median log shot time, log s: linear in fineness, log dose, temperature and days."""
    return (
        math.log(USUAL_S)
        + parameters["time_grind"] * (at.fine - parameters["time_place"])
        + parameters["time_dose"] * at.dose
        + parameters["time_temp"] * at.temp
        + parameters["time_drift"] * at.age
    )


def extraction_index(parameters: Parameters, at: Inputs, log_time: Floats) -> Floats:
    """How far past the best cup a recipe extracts, in log units of shot time; below 0 it falls short."""
    return log_time - parameters["time_best"] + parameters["pull_temp"] * at.temp + parameters["pull_dose"] * at.dose


def liking_lost(parameters: Parameters, at: Inputs, index: Floats) -> Floats:
    """Points below the peak: a soft-edged, lopsided valley in the index and weak bowls in temperature and dose.

    loss = slope · (√(w² + index²) − w), with the slope of the side on which the index lies.
    """
    width = parameters["rounding"]
    valley = np.sqrt(index**2 + width**2) - width
    valley *= np.where(index < 0, parameters["under_slope"], parameters["over_slope"])
    valley += parameters["temp_curve"] * (at.temp - parameters["temp_best"]) ** 2
    valley += parameters["dose_curve"] * (at.dose - parameters["dose_best"]) ** 2
    return valley
