"""A number with how sure it is."""

from __future__ import annotations

from dataclasses import dataclass

TOLERANCE = 0.5
"""Points of liking from the best within which a recipe counts as near-optimal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A number with its uncertainty.

    mean: its expectation. low, high: the 90 % interval, or that of the level asked for.
    """

    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PredictedOutcome:
    """What one pull of a recipe is expected to be noted as: taster noise and the scatter of pucks included.

    score: 0–10. time_s: shot clock, s; its `mean` is the median, as times may stretch far on one side.
    """

    score: Estimate
    time_s: Estimate
