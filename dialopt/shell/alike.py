"""A name that was likely meant: one letter is wrong, missing or in another's place."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher
from shlex import quote
from typing import Protocol

from dialopt.trade.names import name_key

_ALIKE = 0.85
"""Share of letters in common, in order, from which on two names are taken for one; one swap in ten letters is 0.9."""
_SHORT = 2
"""Last words up to that long, or with a figure in them, tell one thing from the next: "lot 7", "bag B"."""


class Named(Protocol):
    """A thing with a name."""

    @property
    def name(self) -> str:
        """What it is called."""


def alike(name: str, things: Sequence[Named]) -> str | None:
    """The name among those of the things that this one is most like, if any is; None where it is there itself."""
    here = name_key(name)
    likeness = [(SequenceMatcher(None, here, name_key(thing.name)).ratio(), thing.name) for thing in things]
    share, there = max(likeness, default=(0.0, ""))
    if share == 1.0 or share < _ALIKE or _numbered(here) or _numbered(name_key(there)):
        return None
    return there


def alike_lines(kind: str, name: str, things: Sequence[Named]) -> tuple[str, ...]:
    """A word on a new thing that is called almost as a known one."""
    there = alike(name, things)
    if there is None:
        return ()
    mend = f"`dialopt pairing --{kind} {quote(there)}` takes that one"
    return (f"  Mind     it is new, and almost called as the {kind} {there}; if that was meant, {mend}",)


def _numbered(name: str) -> bool:
    last = name.split()[-1] if name.split() else ""
    return len(last) <= _SHORT or any(sign.isdigit() for sign in last)
