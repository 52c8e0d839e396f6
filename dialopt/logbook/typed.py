"""Numbers and moments as people type them, at a prompt or into a spreadsheet. Raises BadValue with what would do."""

from __future__ import annotations

import math
import re
from datetime import datetime

from dialopt.errors import BadValue
from dialopt.trade.fields import NUMBER_COLUMNS, RECIPE_COLUMNS
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

PLAIN_NUMBER = "a plain number such as 18.5 or 18,5"
BLAMELESS = {"grind": 1.0, "dose_g": 18.0, "temp_c": 93.0}
"""A recipe that nobody objects to, to try one setting or value at a time in."""

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?")
_LARGEST = 1e12
_MOMENT = "a date as 2031-04-09, or a date and time as 2031-04-09T07:15"


def read_number(field: str, text: str, accepted: str | None = None) -> float:
    """A finite number; the decimal mark may be a full stop or a comma.

    accepted: what would do, in words; by default what the field takes, where it is one of a shot's.

    >>> read_number("dose_g", "18,5")
    18.5
    """
    plain = text.strip().replace("−", "-").replace(",", ".")  # the typographic minus
    if not _NUMBER.fullmatch(plain) or abs(float(plain)) > _LARGEST:
        raise BadValue(field, text, accepted or _accepted(field))
    return float(plain)


def read_moment(field: str, text: str) -> datetime:
    """A date, or a date and time. A time zone is kept where one was given; without one it is local time.

    >>> read_moment("pulled_at", "2031-04-09T07:15")
    datetime.datetime(2031, 4, 9, 7, 15)
    """
    try:
        return datetime.fromisoformat(text.strip())
    except ValueError:
        raise BadValue(field, text, _MOMENT) from None


def check_setting(field: str, value: float) -> None:
    """Raises BadValue for a grind, dose or temperature that no recipe has."""
    Recipe(**{**BLAMELESS, field: value})


def _accepted(field: str) -> str:
    # A shot's own words for what it takes, learnt by offering it what it can't take. A grind may be nearly anything.
    if field in NUMBER_COLUMNS and field != "grind":
        try:
            if field in RECIPE_COLUMNS:
                check_setting(field, math.nan)
            else:
                Shot(recipe=Recipe(**BLAMELESS), **{field: math.nan})  # type: ignore[arg-type]  # a number field
        except BadValue as bad:
            return f"{bad.accepted}, in plain digits"
    return PLAIN_NUMBER
