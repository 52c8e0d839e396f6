"""Words in a row."""

from __future__ import annotations

from collections.abc import Sequence


def joined(parts: Sequence[str], word: str = "and") -> str:
    """Words in a row with "and", or another word, before the last.

    >>> joined(["grind", "dose", "temperature"])
    'grind, dose and temperature'
    """
    return f" {word} ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)
