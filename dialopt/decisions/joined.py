"""Words in a row."""

from __future__ import annotations

from collections.abc import Sequence


def joined(parts: Sequence[str]) -> str:
    """Words in a row with "and" before the last.

    >>> joined(["grind", "dose", "temperature"])
    'grind, dose and temperature'
    """
    return " and ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)
