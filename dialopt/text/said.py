"""What a command says at its end, and how the lines of it look."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """did: what was done, one sentence. next_step: what is sensible now. lines: what else there is to read."""

    did: str
    next_step: str
    lines: tuple[str, ...] = ()


def row(label: str, words: str) -> str:
    """A line with its label in front.

    >>> row("Mind", "no score counts yet")
    '  Mind     no score counts yet'
    """
    return f"  {label:<8} {words}"


def rows(*parts: tuple[str, str | None]) -> tuple[str, ...]:
    """A line for each label that there is something to say behind.

    >>> rows(("Set", "grind 18"), ("Milk", None))
    ('  Set      grind 18',)
    """
    return tuple(row(label, words) for label, words in parts if words)


def sentence(text: str) -> str:
    """On one line, and ended as a sentence is.

    >>> sentence("nothing was changed")
    'nothing was changed.'
    """
    text = " ".join(text.split())
    return text if text.endswith((".", "!", "?")) else text + "."
