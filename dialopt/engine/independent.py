"""Comparing what is known of different pairings: draws that know nothing of one another.

All that is asked is exact for independent draws: every draw of one is held against every draw of the other, so it
doesn't matter in which order they come, nor that two pairings may have started from the same seed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from dialopt.engine.advice import Estimate
from dialopt.engine.interval import around_median
from dialopt.model.observations import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One held against another. by: how much more it is, the median with its interval. chance_more: that it is more."""

    by: Estimate
    chance_more: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """A pairing held against another one in one quantity.

    quantity: its name. number: of the pairing. difference: None where the two can't be compared, as `why_not`
    says: another taster scored it, the dial that sets it is `fixed` for some, or hardly any setting is common to both.
    """

    quantity: str
    number: int
    difference: Difference | None
    why_not: Literal["other_taster", "fixed", "no_common"] | None = None
    fixed: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A pairing that was tasted, and the chance that its sweet spot is the best. number: its own. tasted: how often."""

    number: int
    tasted: int
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """The pairings that were tasted, the likeliest best first.

    shown: how many there are, tasted or not. tasters: how many people scored them; of several nobody can say whose best
    cup is the best, so there are no places.
    """

    places: tuple[Place, ...]
    shown: int
    tasters: int

    @property
    def leader(self) -> int | None:
        """The number of the likeliest; None where fewer than two were tasted."""
        return self.places[0].number if len(self.places) > 1 else None


def difference(one: Floats, other: Floats) -> Difference:
    """How much more `one` is than `other`, and whether it is. Draws, (P,) and (Q,)."""
    return Difference(by=apart(one, other), chance_more=chance_more(one, other))


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
