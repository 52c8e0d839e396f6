from __future__ import annotations

import doctest
import re
from collections.abc import Callable
from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt.engine import odds as odds_module
from dialopt.engine.advice import Advice
from dialopt.engine.odds import odds
from dialopt.report import words
from dialopt.trade.bean import Bean
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


def test_examples_hold() -> None:
    assert doctest.testmod(odds_module).failed == 0
    assert doctest.testmod(words, extraglobs={"Estimate": words.Estimate}).failed == 0


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
    first, last = words.score_span(words.Estimate(mean=low, low=low, high=high)).split(" to ")
    assert float(first) == pytest.approx(low, abs=0.05 + 1e-9)
    assert float(last) == pytest.approx(high, abs=0.05 + 1e-9)


@pytest.mark.parametrize(
    ("chance", "expected"),
    [(0.83, "likely, about 4 in 5"), (0.1, "There may well be better: the chance is about 1 in 10")],
)
def test_sureness_is_words_and_numbers(an_advice: Callable[..., Advice], chance: float, expected: str) -> None:
    assert expected in words.sure_sentence(an_advice(prob_near_optimal=chance))


@pytest.mark.parametrize(("days", "expected"), [(3, "3 days off roast"), (10, "in the window"), (40, "fading")])
def test_freshness_counts_to_the_last_dated_shot(a_pairing: Callable[..., Pairing], days: int, expected: str) -> None:

    pulled = datetime.fromordinal(date(2031, 4, 1).toordinal() + days)
    shot = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), pulled_at=pulled)
    assert expected in words.freshness_sentence(a_pairing(), [shot], date(2033, 1, 1))


def test_freshness_without_a_date_or_with_one_ahead(a_pairing: Callable[..., Pairing]) -> None:
    from dataclasses import replace

    pairing = a_pairing()
    assert "likely not a roasting date" in words.freshness_sentence(pairing, [], date(2031, 3, 1))
    assert "lies after today" in words.freshness_sentence(pairing, [], date(2031, 3, 1))
    early = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), pulled_at=datetime(2031, 3, 1))
    assert "lies after the shots" in words.freshness_sentence(pairing, [early], date(2033, 1, 1))
    undated = replace(pairing, bean=Bean(name="x"))
    assert "wasn't noted" in words.freshness_sentence(undated, [], date(2031, 3, 1))


def test_what_is_missing_is_said(shots: list[Shot]) -> None:
    assert "No shot has been logged" in words.missing_sentences([])[0]
    assert "Every shot was marked" in words.missing_sentences([shots[2]])[0]
    assert "No shot has a score" in words.missing_sentences([shots[3]])[0]
    assert "No shot has a time" in words.missing_sentences([shots[4]])[0]
    assert words.missing_sentences(shots) == []
