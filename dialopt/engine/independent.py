"""Comparing what is known of different pairings: draws that know nothing of one another.

All that is asked is exact for independent draws: every draw of one is held against every draw of the other, so it
doesn't matter in which order they come, nor that two pairings may have started from the same seed.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dialopt.engine.advice import Estimate
from dialopt.engine.interval import around_median
from dialopt.model.observations import Floats


def chance_more(one: Floats, other: Floats) -> float:
    """Probability that `one` is larger than `other`; ties count half. one, other: draws, (P,) and (Q,)."""
    return float(np.mean(_share_below(other, one)))


def apart(one: Floats, other: Floats, level: float = 0.9) -> Estimate:
    """How much larger `one` is than `other`: the median, with its central interval."""
    return around_median(np.subtract.outer(one, other).ravel(), level)


def chances_best(draws: Sequence[Floats]) -> tuple[float, ...]:
    """Probability of each to be the largest of all; they add to 1.

    Under a draw of one it is the product of the others' shares below it. Where several tie, they share alike.
    """
    chances = []
    for number, mine in enumerate(draws):
        others = [_share_below(other, mine) for place, other in enumerate(draws) if place != number]
        chances.append(float(np.mean(np.prod(others, axis=0))))
    whole = sum(chances)
    return tuple(chance / whole for chance in chances)


def _share_below(draws: Floats, values: Floats) -> Floats:
    ordered = np.sort(draws)
    sides = [np.searchsorted(ordered, values, side=side) for side in ("left", "right")]
    return np.asarray((sides[0] + sides[1]) / (2.0 * len(draws)))
