"""What is asked of the logbook once something was saved: it can fail, and what was saved must not be done again."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, TypeVarTuple

from dialopt.errors import LogbookError

T = TypeVar("T")
E = TypeVar("E")
Arguments = TypeVarTuple("Arguments")


def afterwards(otherwise: E, ask: Callable[[*Arguments], T], *arguments: *Arguments) -> T | E:
    """What is asked, or `otherwise` where the logbook can't be read just now."""
    try:
        return ask(*arguments)
    except LogbookError:
        return otherwise
