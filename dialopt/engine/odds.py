"""A probability as people say it."""

from __future__ import annotations

_ODDS = (
    (0.95, "19 in 20"),
    (0.90, "9 in 10"),
    (0.875, "7 in 8"),
    (0.80, "4 in 5"),
    (0.75, "3 in 4"),
    (0.70, "7 in 10"),
    (2 / 3, "2 in 3"),
    (0.60, "3 in 5"),
    (0.55, "11 in 20"),
    (0.50, "1 in 2"),
    (0.45, "9 in 20"),
    (0.40, "2 in 5"),
    (1 / 3, "1 in 3"),
    (0.30, "3 in 10"),
    (0.25, "1 in 4"),
    (0.20, "1 in 5"),
    (0.15, "3 in 20"),
    (0.10, "1 in 10"),
    (0.05, "1 in 20"),
)


def odds(chance: float) -> str:
    """A probability as a plain fraction, rounded down: what is said is never surer than what is known.

    >>> odds(0.83), odds(0.999), odds(0.02)
    ('about 4 in 5', 'at least 19 in 20', 'less than 1 in 20')
    """
    for least, words in _ODDS:
        if chance >= least - 1e-9:
            return f"{'at least' if words == '19 in 20' else 'about'} {words}"
    return "less than 1 in 20"
