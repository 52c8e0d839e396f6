"""Names and texts on their way into the file and out of it."""

from __future__ import annotations

from collections.abc import Iterable

from dialopt.errors import BadValue
from dialopt.trade.names import name_key

_LARGEST = 2**63 - 1
_NAME_END = 150


def known_as(name: str) -> str:
    """The name as it is looked up: its case, and how its accents are encoded, make no difference. Raises BadValue."""
    storable("name", name)
    return name_key(name)


def storable(field: str, value: object) -> None:
    """Raises BadValue for half a character, which no file can hold."""
    try:
        str(value).encode("utf-8")
    except UnicodeEncodeError:
        raise BadValue(field, value, "text made of whole Unicode characters") from None


def printable(name: object) -> str:
    """A file's name or path without what could steer a terminal, a very long one without its middle."""
    text = str(name)
    text = text if len(text) <= 2 * _NAME_END else f"{text[:_NAME_END]}…{text[-_NAME_END:]}"
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def spans(numbers: Iterable[int]) -> str:
    """Whole numbers told briefly; a long list ends in an ellipsis.

    >>> spans([1, 2, 3, 7])
    '1–3, 7'
    """
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    said = [str(low) if low == high else f"{low}–{high}" for low, high in runs[:6]]
    return ", ".join(said) + (" …" if len(runs) > 6 else "")


def is_row_number(number: int) -> bool:
    """Whether SQLite could have given a row this number at all."""
    return 0 < number <= _LARGEST
