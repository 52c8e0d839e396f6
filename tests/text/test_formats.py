from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt import Estimate
from dialopt.text.formats import estimate_words, fixed, odds, plain, score_span, signed


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (1.0, "at least 19 in 20"),
        (0.9, "about 9 in 10"),
        (0.8999, "about 7 in 8"),
        (0.8749, "about 4 in 5"),
        (2 / 3, "about 2 in 3"),
        (1 / 3, "about 1 in 3"),
        (0.05, "about 1 in 20"),
        (0.0499, "less than 1 in 20"),
        (0.0, "less than 1 in 20"),
    ],
)
def test_a_chance_as_people_say_it(chance: float, words: str) -> None:
    assert odds(chance) == words


@given(st.floats(0, 1))
def test_odds_are_never_surer_than_the_chance(chance: float) -> None:
    said = odds(chance)
    if said.startswith("less than"):
        assert chance < 0.05
    else:
        top, bottom = (int(part) for part in re.findall(r"\d+", said))
        assert top / bottom <= chance + 1e-9


@given(st.floats(0, 10), st.floats(0, 10))
def test_a_score_span_is_the_interval_to_a_tenth(one: float, other: float) -> None:
    low, high = sorted((one, other))
    first, last = score_span(Estimate(mean=low, low=low, high=high)).split(" to ")
    assert float(first) == pytest.approx(low, abs=0.05 + 1e-9)
    assert float(last) == pytest.approx(high, abs=0.05 + 1e-9)


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_a_number_is_told_as_it_is_with_one_minus_sign(value: float, digits: int) -> None:
    for told in (fixed(value, digits), plain(value, digits), signed(value, digits)):
        assert "-" not in told
        assert told.lstrip("+−").strip("0.") or told in ("0", "0.0", "0.00", "0.000")
        assert float(told.replace("−", "-")) == pytest.approx(value, abs=0.5001 * 10**-digits)
    assert signed(value, digits)[0] in ("+−" if plain(value, digits) != "0" else "0")


def test_an_interval_keeps_its_decimals() -> None:
    assert estimate_words(Estimate(mean=1, low=-0.04, high=2), 1, " points") == "1.0 points (0.0 to 2.0)"
