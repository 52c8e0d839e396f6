"""Which of two recipes is better, from joint draws of the liking of both."""

from __future__ import annotations

import numpy as np

from dialopt.engine.advice import Comparison
from dialopt.engine.config import TOLERANCE
from dialopt.engine.interval import central
from dialopt.engine.odds import odds
from dialopt.engine.scale import on_scale
from dialopt.model.observations import Floats
from dialopt.trade.recipe import Recipe

TELLS = 0.6
"""A probability below this is too close to even for a word."""


def compare(one: Recipe, other: Recipe, liking: Floats, level: float = 0.9) -> Comparison:
    """How often the draws like `one` more than `other`, and by how much. liking: of both under each draw, (P, 2).

    Liking is kept to the scale of 0 to 10, as in every prediction: two cups at its end are liked the same.
    """
    more = np.subtract(*on_scale(liking).T)
    chance = np.mean(more > 0) + np.mean(more == 0) / 2
    return Comparison(one=one, other=other, chance_better=float(chance), by=central(more, level))


def verdict(comparison: Comparison) -> str:
    """Which is better, in one sentence; `one` is called A and `other` B."""
    if comparison.one == comparison.other:
        return "They are the same recipe."
    better = "A" if comparison.chance_better >= 0.5 else "B"
    chance = max(comparison.chance_better, 1.0 - comparison.chance_better)
    if chance < TELLS:
        said = "Can't tell: either is about as likely to be the better one"
    else:
        said = f"The chance is {odds(chance)} that {better} is better"
    if max(abs(comparison.by.low), abs(comparison.by.high)) <= TOLERANCE:
        said += "; most likely they lie within half a point of each other"
    return said + "."


def margin(comparison: Comparison) -> str:
    """By how much, seen from the better one, e.g. "A over B: 1.2 points (0.3 to 2.1)"."""
    by = comparison.by
    names, mean, low, high = "A over B", by.mean, by.low, by.high
    if comparison.chance_better < 0.5:
        names, mean, low, high = "B over A", -by.mean, -by.high, -by.low
    return f"{names}: {_points(mean)} points ({_points(low)} to {_points(high)})"


def _points(points: float) -> str:
    return f"{round(points, 1) + 0.0:.1f}".replace("-", "−")
