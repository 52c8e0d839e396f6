from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from dialopt import Bean, Pairing, Recipe, Shot
from dialopt.text.beans import age_words, freshness_advice, freshness_sentence, stage_words
from dialopt.trade.freshness import Freshness


def roasted(pairing: Pairing) -> Pairing:
    return replace(pairing, bean=replace(pairing.bean, roasted_on=date(2031, 4, 1)))


# The window from day 5 to day 30 is common practice.
@pytest.mark.parametrize(
    ("stage", "word", "said"),
    [
        ("young", "too early; ", "wait until day 5 or expect noise"),
        ("ready", "in the window, ", "5 to 30 days"),
        ("fading", "fading; ", "past day 30 the aroma"),
    ],
)
def test_each_stage_is_told_with_what_to_expect(stage: str, word: str, said: str) -> None:
    fresh = Freshness(days=1, stage=stage)
    assert freshness_advice(fresh).startswith(word)
    assert word.startswith(stage_words(fresh))
    assert said in freshness_advice(fresh)


def test_one_day_is_one_day() -> None:
    assert (age_words(1), age_words(0)) == ("1 day off roast", "0 days off roast")


@pytest.mark.parametrize(("days", "expected"), [(3, "3 days off roast"), (10, "in the window"), (40, "fading")])
def test_freshness_counts_to_the_last_dated_shot(pairing: Pairing, days: int, expected: str) -> None:

    pulled = datetime.fromordinal(date(2031, 4, 1).toordinal() + days)
    shot = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), pulled_at=pulled)
    assert expected in freshness_sentence(roasted(pairing), [shot], date(2033, 1, 1))


def test_freshness_without_a_date_or_with_one_ahead(pairing: Pairing) -> None:
    pairing = roasted(pairing)
    assert "likely not a roasting date" in freshness_sentence(pairing, [], date(2031, 3, 1))
    assert "lies after today" in freshness_sentence(pairing, [], date(2031, 3, 1))
    early = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), pulled_at=datetime(2031, 3, 1))
    assert "lies after the shots" in freshness_sentence(pairing, [early], date(2033, 1, 1))
    undated = replace(pairing, bean=Bean(name="x"))
    assert "wasn't noted" in freshness_sentence(undated, [], date(2031, 3, 1))
