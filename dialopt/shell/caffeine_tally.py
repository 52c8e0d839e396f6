"""What the logbook tells of today's caffeine, in words and as data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from dialopt.logbook.book import Logbook
from dialopt.logbook.records import PairingRecord
from dialopt.trade import caffeine
from dialopt.trade.caffeine import Caffeine
from dialopt.trade.checks import one_of
from dialopt.trade.shot import Shot

RECENT = timedelta(days=3)
"""How far back pairings are read for it: two days for a sitting, one for time zones."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaffeineTally:
    """sitting, day: shots logged here, of all pairings, in this sitting and today. pregnant: as the person set it."""

    sitting: Caffeine
    day: Caffeine
    pregnant: bool

    @property
    def species(self) -> tuple[str, ...]:
        """What the shots of both were pulled from."""
        return tuple(sorted({*self.sitting.species, *self.day.species}))


def caffeine_tally(book: Logbook, now: datetime, otherwise: str = caffeine.UNKNOWN) -> CaffeineTally:
    """The tally by the shots in the logbook; what came with somebody else's dial-in, somebody else drank.

    otherwise: what beans are taken for that were set up without a species. Raises BadValue for one that isn't known.
    """
    otherwise = one_of("species", otherwise, tuple(caffeine.HELD_MG_PER_G))
    pulled = [
        (shot, kept.pairing.bean.species or otherwise)
        for kept in book.pairings(pulled_since=now - RECENT)
        for shot in _drunk_here(book, kept)
    ]
    return CaffeineTally(
        sitting=caffeine.of_sitting(pulled, now),
        day=caffeine.of_day(pulled, now.date()),
        pregnant=book.pregnant(),
    )


def _drunk_here(book: Logbook, kept: PairingRecord) -> list[Shot]:
    if kept.pairing.taster is None:
        return book.shots(kept.id)
    logged = {entry.number for act in book.history(kept.id) if act.kind == "log" for entry in act.entries}
    return [entry.shot for entry in book.entries(kept.id) if entry.number in logged]


def tally_lines(tally: CaffeineTally) -> tuple[str, ...]:
    """The tally for the terminal, the limits once."""
    of = f", {' and '.join(caffeine.SPECIES_WORDS[kind] for kind in tally.species)}" if tally.species else ""
    return (
        f"  Caffeine  this sitting {tally.sitting}; today {tally.day}; if drunk to the end{of}",
        f"  Limits    {caffeine.limits_sentence(pregnant=tally.pregnant)}",
        f"  So        {caffeine.standing_sentence(tally.sitting, tally.day, pregnant=tally.pregnant)}",
    )


def past_lines(tally: CaffeineTally) -> tuple[str, ...]:
    """A word unasked: once the day is past its limit even by the low end, or may be past it in pregnancy."""
    state = caffeine.against(tally.day, caffeine.PREGNANT_A_DAY_MG if tally.pregnant else caffeine.A_DAY_MG)
    if state == "below" or (state == "maybe past" and not tally.pregnant):
        return ()
    return (f"  Mind     {caffeine.standing_sentence(tally.sitting, tally.day, pregnant=tally.pregnant)}",)


def tally_data(tally: CaffeineTally) -> dict[str, Any]:
    """The tally for a program."""
    limits = (
        {"a_day_mg": caffeine.PREGNANT_A_DAY_MG}
        if tally.pregnant
        else {
            "at_once_mg": caffeine.AT_ONCE_MG,
            "a_day_mg": caffeine.A_DAY_MG,
        }
    )
    return {
        "species": list(tally.species),
        "pregnant": tally.pregnant,
        "sitting": _amount(tally.sitting, limits.get("at_once_mg")),
        "day": _amount(tally.day, limits["a_day_mg"]),
        "limits": {**limits, "source": caffeine.SOURCE},
        "says": caffeine.standing_sentence(tally.sitting, tally.day, pregnant=tally.pregnant),
    }


def _amount(amount: Caffeine, limit_mg: float | None) -> dict[str, Any]:
    return {
        "shots": amount.shots,
        "low_mg": amount.low_mg,
        "high_mg": amount.high_mg,
        "species": list(amount.species),
        "against_limit": None if limit_mg is None else caffeine.against(amount, limit_mg),
    }
