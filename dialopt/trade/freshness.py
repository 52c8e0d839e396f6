"""How long ago the beans were roasted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from dialopt.errors import BadValue
from dialopt.trade.bean import Bean
from dialopt.trade.shot import Shot

BEST_DAYS = (5, 30)
"""Days off roast between which beans behave best (common practice)."""
LONGEST_DAYS = 730
"""Two years: what was roasted longer ago is no bag to dial in, so such a date is a slip (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Freshness:
    """Age of a bag. days: whole days off roast. stage: "young", "ready" or "fading", by `BEST_DAYS`."""

    days: int
    stage: str


def freshness(roasted_on: date, today: date) -> Freshness:
    """How fresh beans are. Raises BadValue for a roasting date that lies ahead.

    >>> freshness(date(2031, 4, 1), date(2031, 4, 4)).stage
    'young'
    """
    days = days_off_roast(roasted_on, today)
    first, last = BEST_DAYS
    return Freshness(days=days, stage="young" if days < first else "ready" if days <= last else "fading")


def freshness_of(bean: Bean, today: date) -> Freshness | None:
    """How fresh a bag is; None without a roasting date, and for one that lies ahead."""
    return None if bean.roasted_on is None or bean.roasted_on > today else freshness(bean.roasted_on, today)


def pulled_on(bean: Bean, shot: Shot) -> date | None:
    """The day of a shot; None where none was noted, or one before the beans were roasted, a slip of the pen."""
    day = None if shot.pulled_at is None else shot.pulled_at.date()
    return None if day is not None and bean.roasted_on is not None and day < bean.roasted_on else day


def freshness_span(bean: Bean, shots: Sequence[Shot], today: date) -> tuple[Freshness, Freshness] | None:
    """At the first and at the last dated shot, or today when none has a date.

    None without a roasting date and for one that lies after all of these.
    """
    dated = [shot for shot in shots if shot.pulled_at is not None]
    days = [day for shot in dated if (day := pulled_on(bean, shot)) is not None] if dated else [today]
    if bean.roasted_on is None or not days or min(days) < bean.roasted_on:
        return None
    return freshness(bean.roasted_on, min(days)), freshness(bean.roasted_on, max(days))


def pulled_span(bean: Bean, shots: Sequence[Shot]) -> tuple[Freshness, Freshness] | None:
    """At the first and at the last dated shot; None unless roasting date and pulls are noted and go together."""
    days = [shot.pulled_at.date() for shot in shots if shot.pulled_at is not None]
    if bean.roasted_on is None or not days or min(days) < bean.roasted_on:
        return None
    return freshness(bean.roasted_on, min(days)), freshness(bean.roasted_on, max(days))


def days_off_roast(roasted_on: date, today: date) -> int:
    """Whole days since roasting. Raises BadValue for a roasting date that lies ahead."""
    days = (today - roasted_on).days
    if days < 0:
        raise BadValue(
            "roasted_on",
            roasted_on.isoformat(),
            "a day up to today; a date ahead is likely the best-before date, which says nothing here",
        )
    return days


def check_roast_day(roasted_on: date, today: date) -> date:
    """The date itself; raises BadValue for one that lies ahead or over two years back, which no roasting date does."""
    if days_off_roast(roasted_on, today) > LONGEST_DAYS:
        raise BadValue(
            "roasted_on",
            roasted_on.isoformat(),
            "a day in the past two years; look for the roasting date again, or leave it out",
        )
    return roasted_on
