"""What the logbook tells of today's caffeine, in words and as data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from dialopt.logbook.book import Logbook
from dialopt.trade import caffeine
from dialopt.trade.caffeine import Caffeine

RECENT = timedelta(days=3)
"""How far back pairings are read for it: two days for a sitting, one for time zones."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaffeineTally:
    """sitting, day: shots of all pairings, in this sitting and today. pregnant: as the person has set it."""

    species: str
    sitting: Caffeine
    day: Caffeine
    pregnant: bool


def caffeine_tally(book: Logbook, now: datetime, species: str = "unknown") -> CaffeineTally:
    """The tally by the shots in the logbook. Raises BadValue for an unknown species."""
    shots = [shot for kept in book.pairings(pulled_since=now - RECENT) for shot in book.shots(kept.id)]
    return CaffeineTally(
        species=species.strip().lower(),
        sitting=caffeine.of_sitting(shots, now, species),
        day=caffeine.of_day(shots, now.date(), species),
        pregnant=book.pregnant(),
    )


def tally_lines(tally: CaffeineTally) -> tuple[str, ...]:
    """The tally for the terminal, the limits once."""
    return (
        f"  Caffeine  this sitting {tally.sitting}; today {tally.day}; if drunk to the end, species {tally.species}",
        f"  Limits    {caffeine.limits_sentence(pregnant=tally.pregnant)}",
        f"  So        {caffeine.standing_sentence(tally.sitting, tally.day, pregnant=tally.pregnant)}",
    )


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
        "species": tally.species,
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
        "against_limit": None if limit_mg is None else caffeine.against(amount, limit_mg),
    }
