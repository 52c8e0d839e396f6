"""The pairings of a page, each with what the page asks of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dialopt.engine.advice import Advice
from dialopt.engine.grinder_independent import grinder_independent
from dialopt.errors import WrongUse
from dialopt.logbook.records import BurrSet
from dialopt.report.hindsight import Look, Progress, look_back
from dialopt.text.formats import LETTERS, plain
from dialopt.trade.grinder_independent import GrinderIndependent
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

if TYPE_CHECKING:
    from dialopt.engine.standing import Standing

MOST = len(LETTERS)
"""Pairings on one page: as many as can be told apart by mark, dash and colour."""

_PARTS: tuple[Callable[[Pairing], str], ...] = (
    lambda pairing: pairing.bean.name,
    lambda pairing: pairing.grinder.name,
    lambda pairing: pairing.grinder.burrs,
    lambda pairing: f"roasted {pairing.bean.roasted_on.isoformat()}" if pairing.bean.roasted_on else "no roasting date",
    lambda pairing: pairing.drink,
    lambda pairing: f"1:{plain(pairing.ratio, 2)}",
    lambda pairing: pairing.water or "no water noted",
    lambda pairing: pairing.machine.name,
    lambda pairing: pairing.basket.name,
)


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
    def pairing(self) -> Pairing:
        """The pairing itself."""
        return self.advice.pairing

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
        return self.side.pairing

    @property
    def shots(self) -> Sequence[Shot]:
        """Its shots."""
        return self.side.shots


def line_up(sides: Sequence[Side], progress: Progress | None = None) -> tuple[Shown, ...]:
    """The sides in their places, each looked back on.

    progress: called with the shots done and how many there are. Raises WrongUse for fewer than two or more than eight.
    """
    from dialopt.engine.standing import mark_steps, standing

    if not 2 <= len(sides) <= MOST:
        raise WrongUse(f"{len(sides)} can't be put side by side; take 2 to {MOST} pairings.")
    of, done, shown = sum(len(side.shots) for side in sides), 0, []
    for number, (side, label) in enumerate(zip(sides, labels([side.pairing for side in sides]), strict=True)):
        step = None if progress is None else lambda here, _, before=done: progress(before + here, of)
        shown.append(
            Shown(
                side=side,
                number=number,
                label=label,
                standing=standing(side.advice),
                free=grinder_independent(side.advice, side.shots),
                mark_steps=mark_steps(side.advice),
                looks=look_back(
                    side.pairing, dict(enumerate(side.shots, 1)), side.earlier, seed=side.advice.seed, progress=step
                ),
            )
        )
        done += len(side.shots)
    return tuple(shown)


def labels(pairings: Sequence[Pairing]) -> list[str]:
    """What sets each apart, no more than it takes: the bean where only the beans differ, and so on."""
    labels = [""] * len(pairings)
    for part in _PARTS:
        if len(set(labels)) == len(labels):
            break
        said = [part(pairing) for pairing in pairings]
        if len(set(said)) > 1:
            labels = [", ".join(filter(None, pair)) for pair in zip(labels, said, strict=True)]
    return [label or pairing.title for label, pairing in zip(labels, pairings, strict=True)]
