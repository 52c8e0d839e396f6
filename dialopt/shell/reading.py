"""From what was typed to numbers, dials and dates. Raises BadValue with what would be accepted."""

from __future__ import annotations

import re
from datetime import date, datetime

from dialopt.errors import BadValue
from dialopt.trade.dial import Dial
from dialopt.trade.freshness import days_off_roast

PLAIN_NUMBER = "a plain number such as 18.5 or 18,5"
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?")
_DIAL = "LOW:HIGH:STEP such as 0:40:1, or one number for a dial that can't be turned"


def read_number(field: str, text: str, accepted: str = PLAIN_NUMBER) -> float:
    """A finite number; the decimal mark may be a full stop or a comma.

    >>> read_number("dose_g", "18,5")
    18.5
    """
    plain = text.strip().replace("−", "-")  # the typographic minus
    if not _NUMBER.fullmatch(plain) or abs(float(plain.replace(",", "."))) > 1e12:
        raise BadValue(field, text, accepted)
    return float(plain.replace(",", "."))


def read_dial(field: str, text: str) -> Dial:
    """A dial from LOW:HIGH:STEP, or from one number when it can't be turned.

    >>> read_dial("grind", "0:40:0,5")
    Dial(low=0.0, high=40.0, step=0.5)
    """
    parts = [read_number(field, part, _DIAL) for part in text.split(":")]
    if len(parts) not in (1, 3):
        raise BadValue(field, text, _DIAL)
    low, high, step = parts if len(parts) == 3 else (parts[0], parts[0], 1.0)
    try:
        return Dial(low, high, step)
    except BadValue as bad:
        raise BadValue(f"{field} {bad.field}", bad.value, bad.accepted) from None


def read_roast_day(text: str, today: date) -> date:
    """A roasting date, up to today."""
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise BadValue("roasted_on", text, "a date as 2031-04-09") from None
    days_off_roast(day, today)
    return day


def read_moment(text: str) -> datetime:
    """A date, or a date and time, as the clock on the wall tells it."""
    try:
        moment = datetime.fromisoformat(text.strip())
    except ValueError:
        raise BadValue("pulled_at", text, "a date and time as 2031-04-09T07:15") from None
    return moment if moment.tzinfo is None else moment.astimezone().replace(tzinfo=None)
