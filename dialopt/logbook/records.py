"""What the logbook hands out: shots, pairings and advice together with where and when they were kept."""

# ruff: noqa: D102 - the members of the protocols mean what they mean in `Advice`
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from dialopt.trade.estimate import Estimate, PredictedOutcome
from dialopt.trade.pairing import MOST_EARLIER, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot, kitchen_time

Log = Mapping[int, Shot]
"""Shots by their numbers in the logbook, in the order in which they were pulled."""

FEW_TASTINGS = 3
"""From so many tastings of its own on, a pairing gains next to nothing by another one's (measured: reports/study)."""
SHOWN = ("next", "sweet_spot")
"""What of a piece of advice may have been shown to the person: the recipe to pull next, the sweet spot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PairingRecord:
    """A pairing in the logbook. `id` is the number a person may call it by.

    revision: 1 as first saved, one more with each amendment. shots: how many live shots it has. saved_at: when this
    revision was written.
    """

    id: int
    revision: int
    pairing: Pairing
    shots: int
    saved_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One shot as it was written once.

    row: its place in the logbook, for good. number: counts from 1 within the pairing and is never used twice.
    revision: 1 as logged, one more with each amendment. written_at: when this revision was written.
    """

    row: int
    number: int
    revision: int
    shot: Shot
    written_at: datetime


def in_turn(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Entries, given in order of number, in the order in which their shots were pulled.

    That is another one where an older log was imported later. A shot without a time counts as pulled right after the
    one logged before it.
    """
    turns, at = [], datetime.min
    for entry in entries:
        if entry.shot.pulled_at is not None:
            at = kitchen_time(entry.shot.pulled_at)
        turns.append((at, entry.number))
    return tuple(entry for _, entry in sorted(zip(turns, entries, strict=True), key=lambda one: one[0]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One thing a person did to the shots of a pairing: the unit that undo takes back.

    kind: "log", "amend" or "import". source: the imported file's name. undone_at: None while it stands.
    """

    id: int
    kind: str
    source: str | None
    at: datetime
    undone_at: datetime | None
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """What came of taking in somebody else's dial-in.

    new, amended: how many shots of the pairing were logged, and how many amended since they were last sent. elsewhere:
    for each shot that was left out as another pairing holds it, that pairing's number. gone: the numbers of shots that
    they had sent before and that aren't in what they sent now, where that is newer.
    """

    pairing_id: int
    new: int
    amended: int
    elsewhere: tuple[int, ...]
    gone: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BurrSet:
    """One set of burrs of a grinder, and the coffee that went through it as far as shots were logged.

    opened_at: when it was first noted. dosed_g: the doses of its live shots, g. purged_g: what is purged between them,
    whenever the grind moved or other beans went in, g.
    """

    burrs: str
    opened_at: datetime
    shots: int
    dosed_g: float
    purged_g: float

    @property
    def ground_g(self) -> float:
        """All of it, g; coffee that was ground for anything else comes on top."""
        return self.dosed_g + self.purged_g

    @property
    def tally(self) -> str:
        """The same in words, e.g. "about 92 g by 5 shots logged (90 g dosed, 2 g purged)"."""
        if not self.shots:
            return "no shot logged"
        return (
            f"about {self.ground_g:.0f} g by {self.shots} shot{'s' * (self.shots != 1)} logged "
            f"({self.dosed_g:.0f} g dosed, {self.purged_g:.0f} g purged)"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LastPull:
    """The shot that went through a set of burrs last, and the pairing that it belongs to.

    water: the one that the machine asked about brewed last, with its pairing, where that is another shot.
    """

    pairing_id: int
    pairing: Pairing
    shot: Shot
    water: tuple[Pairing, Shot] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A pairing, as it was set up at one time, and its live shots at that time.

    entries: in the order in which they were pulled, see `in_turn`.
    """

    pairing_id: int
    revision: int
    pairing: Pairing
    entries: tuple[Entry, ...]

    @property
    def shots(self) -> list[Shot]:
        """The shots alone."""
        return [entry.shot for entry in self.entries]

    @property
    def log(self) -> Log:
        """The shots by number."""
        return {entry.number: entry.shot for entry in self.entries}

    @property
    def unread(self) -> Log:
        """Those that aren't read, as they lie far off the dials: what was asked about them stays open."""
        return {number: shot for number, shot in self.log.items() if not self.pairing.may_be_meant(shot.recipe)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """All that one piece of advice rests on, read at one moment.

    `advise(evidence.pairing, evidence.shots, earlier=evidence.earlier, seed=…, today=…)` is the whole call. others:
    those that are read, the most telling first, then those that only share the bag.
    """

    case: Case
    others: tuple[Case, ...]

    @property
    def pairing(self) -> Pairing:
        """The pairing to be advised on."""
        return self.case.pairing

    @property
    def shots(self) -> list[Shot]:
        """Its live shots, in the order in which they were pulled."""
        return self.case.shots

    @property
    def read(self) -> tuple[Case, ...]:
        """The others whose taste and clock are read."""
        return tuple(case for case in self.others if any(shot.tells for shot in case.shots))[:MOST_EARLIER]

    @property
    def telling(self) -> Case | None:
        """The most telling of these; None without one, or once the pairing has `FEW_TASTINGS` to go by."""
        own = sum(shot.tasted for shot in self.shots)
        return next(iter(self.read), None) if own < FEW_TASTINGS else None

    @property
    def earlier(self) -> list[tuple[Pairing, list[Shot]]]:
        """The others and their live shots, in that order."""
        return [(case.pairing, case.shots) for case in self.others]


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceRecord:
    """A piece of advice as it was given; the fields mean what they mean in `Advice`.

    rows_seen: the rows of the pairing's shots that it rested on, in the order in which they were pulled. shown: which
    of its recipes were shown, of `SHOWN`.
    """

    id: int
    pairing_id: int
    given_at: datetime
    seed: int
    version: str
    rows_seen: tuple[int, ...]
    shown: tuple[str, ...]
    next_recipe: Recipe
    settled: bool
    reason: str
    sweet_spot_recipe: Recipe
    sweet_spot_score: Estimate
    prob_near_optimal: float
    edges: tuple[str, ...]
    near_optimal_ridge: tuple[Recipe, Recipe] | None
    modes: tuple[Recipe, ...]
    expected: PredictedOutcome
    shots_left: int
    gp_weight: float
    counts: str
    most_moves: int
    hold: tuple[tuple[str, float], ...]
    today: date | None
    finer_today: Estimate | None


class SweetSpotGiven(Protocol):
    """What is kept of a sweet spot: a `SweetSpot` is one."""

    @property
    def recipe(self) -> Recipe: ...
    @property
    def score(self) -> Estimate: ...
    @property
    def prob_near_optimal(self) -> float: ...
    @property
    def edges(self) -> tuple[str, ...]: ...
    @property
    def near_optimal_ridge(self) -> tuple[Recipe, Recipe] | None: ...
    @property
    def modes(self) -> tuple[Recipe, ...]: ...


class AdviceGiven(Protocol):
    """What is kept of a piece of advice: an `Advice` is one."""

    @property
    def pairing(self) -> Pairing: ...
    @property
    def next_recipe(self) -> Recipe: ...
    @property
    def settled(self) -> bool: ...
    @property
    def reason(self) -> str: ...
    @property
    def expected(self) -> PredictedOutcome: ...
    @property
    def shots_left(self) -> int: ...
    @property
    def finer_today(self) -> Estimate | None: ...
    @property
    def gp_weight(self) -> float: ...
    @property
    def seed(self) -> int: ...
    @property
    def today(self) -> date | None: ...
    @property
    def most_moves(self) -> int: ...
    @property
    def hold(self) -> tuple[tuple[str, float], ...]: ...
    @property
    def version(self) -> str: ...
    @property
    def sweet_spot(self) -> SweetSpotGiven: ...
