"""Exact binomial arithmetic of a forced choice: what guessing does, and what a number of tries can show."""

from __future__ import annotations

from fractions import Fraction
from math import comb

Chance = Fraction | float


def tail(least: int, tries: int, chance: Chance) -> float:
    """Probability of at least `least` hits in `tries` independent ones: Σ C(n, k) pᵏ (1 − p)ⁿ⁻ᵏ over k from `least` up.

    Exact up to the last rounding when the chance is a Fraction.

    >>> tail(3, 3, Fraction(1, 3)) == 1 / 27
    True
    """
    hits = range(max(least, 0), tries + 1)
    return float(sum((comb(tries, k) * chance**k * (1 - chance) ** (tries - k) for k in hits), start=Fraction(0)))


def least_hits(tries: int, chance: Chance, alpha: float) -> int | None:
    """The fewest hits that guessing reaches with a probability of at most alpha; None when not even all would do.

    >>> least_hits(12, Fraction(1, 3), 0.05)
    8
    """
    found = None
    together: Chance = Fraction(0)
    for hits in range(tries, -1, -1):
        together += comb(tries, hits) * chance**hits * (1 - chance) ** (tries - hits)
        if together > alpha:
            break
        found = hits
    return found


def weakest_shown(tries: int, least: int, sure: float) -> float:
    """The true share of hits at which `least` of `tries` are reached with probability `sure`, 0–1."""
    low, high = 0.0, 1.0
    for _ in range(50):
        share = (low + high) / 2
        low, high = (share, high) if tail(least, tries, share) < sure else (low, share)
    return high


def tries_needed(chance: Chance, alpha: float, share: float, sure: float, most: int = 120) -> int | None:
    """The fewest tries that show a true share of hits with probability `sure`; None when more than `most` are needed.

    The power of an exact test rises in a saw-tooth: a few tries more than the fewest may do a little worse.
    """
    for tries in range(1, most + 1):
        least = least_hits(tries, chance, alpha)
        if least is not None and tail(least, tries, share) >= sure:
            return tries
    return None
