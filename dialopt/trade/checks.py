"""Checks that every value of the trade goes through once, when it is made."""

from __future__ import annotations

import math
import numbers

from dialopt.errors import BadValue

LONGEST_NAME = 200
"""Characters in a name or another short text."""


def number(field: str, value: object, low: float, high: float, unit: str = "") -> float:
    """`value` as a finite float within [low, high]; raises BadValue naming the field otherwise."""
    if isinstance(value, bool) or not isinstance(value, numbers.Real):
        raise BadValue(field, value, span(low, high, unit))
    try:
        as_float = float(value) + 0.0  # which makes 0 of −0, so that both are told and hashed alike
    except OverflowError:  # a whole number of hundreds of digits
        as_float = math.inf
    if not math.isfinite(as_float) or not low <= as_float <= high:
        raise BadValue(field, value, span(low, high, unit))
    return as_float


def span(low: float, high: float, unit: str = "") -> str:
    """What a number takes, in words."""
    return f"a number from {_plain(low)} to {_plain(high)}{' ' + unit if unit else ''}"


def whole_number(field: str, value: object, low: int, high: int) -> int:
    """`value` as a whole number within [low, high]; raises BadValue naming the field otherwise."""
    if isinstance(value, bool) or not isinstance(value, numbers.Integral) or not low <= int(value) <= high:
        raise BadValue(field, value, f"a whole number from {low:,} to {high:,}")
    return int(value)


def text(field: str, value: object, longest: int = LONGEST_NAME) -> str:
    """`value` as non-empty text without stray blanks at its ends or control characters."""
    if not isinstance(value, str) or not value.strip():
        raise BadValue(field, value, "some text")
    trimmed = value.strip()
    if len(trimmed) > longest:
        raise BadValue(field, value, f"text of at most {longest} characters")
    if any(ord(letter) < 32 or ord(letter) == 127 for letter in trimmed):
        raise BadValue(field, value, "one line of text without control characters")
    return trimmed


def one_of(field: str, value: object, allowed: tuple[str, ...]) -> str:
    """`value` as one of a short list, whatever its case, blanks and hyphens."""
    if isinstance(value, str):
        plain = value.strip().lower().replace("-", "").replace(" ", "").replace("_", "")
        if plain in allowed:
            return plain
    raise BadValue(field, value, "one of " + ", ".join(allowed))


def _plain(bound: float) -> str:
    return f"{bound:,.10g}".replace("-", "−")
