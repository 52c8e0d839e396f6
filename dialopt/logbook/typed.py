"""Numbers and moments as people type them, at a prompt or into a spreadsheet. Raises BadValue with what would do."""

from __future__ import annotations

import re
from datetime import datetime

from dialopt.errors import BadValue
from dialopt.trade.checks import span
from dialopt.trade.fields import BY_NAME

PLAIN_NUMBER = "a plain number such as 18.5 or 18,5"
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
    BY_NAME[field].checked(value)


def _accepted(name: str) -> str:
    field = BY_NAME.get(name)
    if field is None or field.kind != "number" or name == "grind":  # which may be nearly anything
        return PLAIN_NUMBER
    return f"{span(field.low, field.high, field.unit)}, in plain digits"
