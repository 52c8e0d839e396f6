"""How long ago the beans were roasted."""

from __future__ import annotations

from datetime import date

from dialopt.errors import BadValue

BEST_DAYS = (5, 30)
"""Days off roast between which beans behave best (common practice)."""


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
