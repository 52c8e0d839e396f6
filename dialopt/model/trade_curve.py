"""The mean that knows the trade: shot clock, extraction index and what a distance from the best cup costs.

For P draws and n recipes every function returns shape (P, n).
"""

from __future__ import annotations

import math

import numpy as np

from dialopt.model.priors import Curve
from dialopt.model.table import Floats, Settings
from dialopt.trade.likely_time import USUAL_S


def log_clock(curve: Curve, at: Settings) -> Floats:
    """Median log shot time, log s: linear in fineness, log dose, temperature and days."""
    return (
        math.log(USUAL_S)
        + curve["clock_grind"] * (at.fine - curve["clock_place"])
        + curve["clock_dose"] * at.dose
        + curve["clock_temp"] * at.temp
        + curve["clock_drift"] * at.age
    )


def extraction_index(curve: Curve, at: Settings, clock: Floats) -> Floats:
    """How far past the best cup a recipe extracts, in log units of shot time; below 0 it falls short."""
    return clock - curve["clock_best"] + curve["pull_temp"] * at.temp + curve["pull_dose"] * at.dose


def liking_lost(curve: Curve, at: Settings, index: Floats) -> Floats:
    """Points below the peak: a soft-edged, lopsided valley in the index and weak bowls in temperature and dose.

    loss = slope · (√(w² + index²) − w), with the slope of the side on which the index lies.
    """
    width = curve["rounding"]
    valley = np.sqrt(index**2 + width**2) - width
    valley *= np.where(index < 0, curve["under_slope"], curve["over_slope"])
    valley += curve["temp_curve"] * (at.temp - curve["temp_best"]) ** 2
    valley += curve["dose_curve"] * (at.dose - curve["dose_best"]) ** 2
    return valley
