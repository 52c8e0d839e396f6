"""The pairings of a page: what it asks of each, what they are compared in, and where they differ."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dialopt.engine.advice import Advice
from dialopt.engine.grinder_independent import grinder_independent
from dialopt.engine.independent import Against, Place, Ranked, chances_best, difference
from dialopt.engine.standing import Standing, mark_steps, standing
from dialopt.errors import WrongUse
from dialopt.logbook.records import BurrSet
from dialopt.report.hindsight import Look, Progress, look_back
from dialopt.text.cards import labels
from dialopt.text.formats import LETTERS
from dialopt.trade.grinder_independent import GrinderIndependent
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import SCALE, Shot

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST = len(LETTERS)
"""Pairings on one page: as many as can be distinguished by mark, dash and colour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One pairing to be shown beside others.

    advice: what `advise` says of these shots, with these earlier pairings. burrs: the burr set and what went through
    it. pairing_id: its number in the logbook. Both may be None.
    """

    shots: Sequence[Shot]
    advice: Advice
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]] = ()
    burrs: BurrSet | None = None
    pairing_id: int | None = None

    @property
    def tasted(self) -> int:
        """Shots whose score counts."""
        return sum(shot.tasted for shot in self.shots)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A side in its place on the page.

    number: from 0. label: what sets it apart from the others, in a few words. mark_steps: grind steps from the coarse
    end to where it runs in `MARK_S`.
    """

    side: Side
    number: int
    label: str
    standing: Standing
    free: GrinderIndependent
    mark_steps: float
    looks: tuple[Look, ...]

    @property
    def letter(self) -> str:
        """What the page calls it."""
        return LETTERS[self.number]

    @property
    def name(self) -> str:
        """Letter and label."""
        return f"{self.letter}  {self.label}"

    @property
    def advice(self) -> Advice:
        """What is advised on it."""
        return self.side.advice

    @property
    def pairing(self) -> Pairing:
        """The pairing itself."""
        return self.advice.pairing

    @property
    def shots(self) -> Sequence[Shot]:
        """Its shots."""
        return self.side.shots


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """What means the same on any grinder, so that pairings can be compared in it.

    name: as in `QUANTITY_WORDS`. value: at the sweet spot. draws: what may be true of it. within: the ends of what
    there can be. dial: the one that sets it, where one alone does: what that dial doesn't offer can't have been found
    best. of_taste: whether it is somebody's liking.
    """

    name: str
    value: Callable[[Shown], float]
    draws: Callable[[Shown], NDArray[np.float64]]
    within: tuple[float, float] | None = None
    dial: str | None = None
    of_taste: bool = False


QUANTITIES = (
    Quantity(
        name="liking",
        value=lambda one: one.free.score.mean,
        draws=lambda one: one.standing.liking,
        within=SCALE,
        of_taste=True,
    ),
    Quantity(name="time", value=lambda one: one.free.time_s.mean, draws=lambda one: one.standing.time_s),
    Quantity(name="flow", value=lambda one: one.free.flow_g_s, draws=lambda one: one.standing.flow_g_s),
    Quantity(
        name="temperature",
        value=lambda one: one.free.temp_c,
        draws=lambda one: one.standing.temp_c,
        dial="temp_c",
    ),
    Quantity(name="dose", value=lambda one: one.free.dose_g, draws=lambda one: one.standing.dose_g, dial="dose_g"),
)


def line_up(sides: Sequence[Side], progress: Progress | None = None) -> tuple[Shown, ...]:
    """The sides in their places, each looked back on.

    progress: called with the shots done and how many there are. Raises WrongUse for fewer than two or more than eight.
    """
    if not 2 <= len(sides) <= MOST:
        raise WrongUse(f"{len(sides)} can't be put side by side; take 2 to {MOST} pairings.")
    of, done, shown = sum(len(side.shots) for side in sides), 0, []
    for number, (side, label) in enumerate(zip(sides, labels([side.advice.pairing for side in sides]), strict=True)):
        step = None if progress is None else lambda here, _, before=done: progress(before + here, of)
        pairing, log = side.advice.pairing, dict(enumerate(side.shots, 1))
        looks = look_back(pairing, log, side.earlier, seed=side.advice.seed, progress=step)
        shown.append(placed(side, number, label, looks))
        done += len(side.shots)
    return tuple(shown)


def placed(side: Side, number: int, label: str, looks: tuple[Look, ...]) -> Shown:
    """The side in a place, with what the page asks of it."""
    return Shown(
        side=side,
        number=number,
        label=label,
        standing=standing(side.advice),
        free=grinder_independent(side.advice, side.shots),
        mark_steps=mark_steps(side.advice),
        looks=looks,
    )


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
