"""In which order blind cups are served: a pure function of a short code.

The code is shown to whoever serves and typed again when the answers are judged, so nothing needs to be stored.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from random import Random

from dialopt.errors import BadValue
from dialopt.sensory.blind_test import MOST_SERVINGS, TESTS, BlindTest

_SIGNS = "23456789BCDFGHJKLMNPQRSTVWXYZ"
"""Without vowels, 0 and 1, so that a code is neither a word nor misread. 29 is prime: see `_check_sign`."""
_DRAWN = 4
_COUNT = "0|[1-9][0-9]{0,3}"
"""Without leading zeros, and with few enough digits to be read as a number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ServingPlan:
    """code: what it follows from. orders: the cups of each serving from left to right, as "ABB"."""

    code: str
    test: BlindTest
    orders: tuple[str, ...]


def new_code(test: BlindTest, servings: int, rng: Random) -> str:
    """A code for so many servings. Raises BadValue for servings that can show nothing or are beyond reason."""
    _check_servings(test, servings)
    drawn = "".join(_SIGNS[int(rng.random() * len(_SIGNS))] for _ in range(_DRAWN))
    head = f"{test.letter}{servings}"
    return f"{head}-{drawn}{_check_sign(head, drawn)}"


def serving_plan(code: str) -> ServingPlan:
    """The plan that a code stands for, always the same one. Raises BadValue for what is no code.

    >>> serving_plan("T6-KQ7F4") == serving_plan(" t6-kq7f4 ")
    True
    """
    plain = code.strip().upper()
    head, _, tail = plain.partition("-")
    test = next((test for test in TESTS.values() if head[:1] == test.letter), None)
    count, drawn = head[1:], tail[:-1]
    if (
        test is None
        or not re.fullmatch(_COUNT, count)
        or len(drawn) != _DRAWN
        or any(sign not in _SIGNS for sign in drawn)
        or tail[-1:] != _check_sign(head, drawn)
    ):
        raise BadValue("code", code, "the code of a serving plan, just as it was shown")
    _check_servings(test, int(count))
    return ServingPlan(code=plain, test=test, orders=serving_order(test, int(count), Random(plain)))


def serving_order(test: BlindTest, servings: int, rng: Random) -> tuple[str, ...]:
    """An order for each serving, every one drawn by itself.

    A panel's orders are balanced over its tasters. Here one taster sees them all, and could use a balance in guessing;
    orders drawn by themselves keep the hits of any guesser exactly binomial.
    """
    # Of a generator only random() is promised to stay the same from one version of Python to the next.
    return tuple(test.orders[int(rng.random() * len(test.orders))] for _ in range(servings))


def _check_servings(test: BlindTest, servings: int) -> None:
    if not test.fewest <= servings <= MOST_SERVINGS:
        wanted = f"{test.fewest} to {MOST_SERVINGS} for this test; with fewer not even all right shows anything"
        raise BadValue("servings", servings, wanted)


def _check_sign(head: str, drawn: str) -> str:
    """A sign that changes with any one sign, and when two neighbours change places: a weighted sum modulo a prime."""
    values = [*(ord(sign) for sign in head), *(_SIGNS.index(sign) for sign in drawn)]
    return _SIGNS[sum(place * value for place, value in enumerate(values, start=1)) % len(_SIGNS)]
