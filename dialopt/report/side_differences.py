"""Where pairings differ and which did best: each held against another one, as far as they can be compared."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.engine.independent import Against, Place, Ranked, chances_best, difference
from dialopt.report.quantities import QUANTITIES, Quantity
from dialopt.report.sides import Shown


def ranked(shown: Sequence[Shown]) -> Ranked:
    """Only tasted ones take part: of the others nothing is known but what others have shown."""
    tasted = [one for one in shown if one.side.tasted]
    tasters = len({one.pairing.taster for one in tasted})
    if tasters > 1:
        return Ranked(places=(), shown=len(shown), tasters=tasters)
    chances = chances_best([one.standing.liking for one in tasted]) if tasted else ()
    places = [
        Place(number=one.number, tasted=one.side.tasted, chance=chance)
        for one, chance in zip(tasted, chances, strict=True)
    ]
    places.sort(key=lambda place: -place.chance)
    return Ranked(places=tuple(places), shown=len(shown), tasters=tasters)


def differences(shown: Sequence[Shown], first: Shown) -> list[Against]:
    """The others held against one of them, quantity by quantity."""
    return [_against(quantity, one, first) for quantity in QUANTITIES for one in shown if one is not first]


def _against(quantity: Quantity, one: Shown, other: Shown) -> Against:
    if quantity.of_taste and one.pairing.taster != other.pairing.taster:
        return Against(quantity=quantity.name, number=one.number, difference=None, why_not="other_taster")
    if quantity.dial is not None:
        mine, theirs = one.pairing.dials[quantity.dial], other.pairing.dials[quantity.dial]
        stuck = tuple(side.number for side, dial in ((one, mine), (other, theirs)) if dial.fixed)
        if stuck:
            return Against(quantity=quantity.name, number=one.number, difference=None, why_not="fixed", fixed=stuck)
        common = min(mine.high, theirs.high) - max(mine.low, theirs.low)
        if 2 * common < min(mine.high - mine.low, theirs.high - theirs.low):
            return Against(quantity=quantity.name, number=one.number, difference=None, why_not="no_common")
    found = difference(quantity.draws(one), quantity.draws(other))
    return Against(quantity=quantity.name, number=one.number, difference=found)
