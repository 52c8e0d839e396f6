from __future__ import annotations

import pytest

from dialopt.text.caffeine import (
    SPECIES_WORDS,
    caffeine_said,
    caffeine_words,
    limits_sentence,
    past_lines,
    standing_sentence,
    tally_lines,
)
from dialopt.trade.caffeine import HELD_MG_PER_G, SOURCE, UNKNOWN, Caffeine, Standing, Tally


def test_an_amount_is_told_to_ten_milligrams_outwards() -> None:
    assert caffeine_words(Caffeine(shots=1, low_mg=72.1, high_mg=250)) == "1 shot, 70 to 250 mg"
    assert caffeine_words(Caffeine(shots=0, low_mg=0, high_mg=0)) == "no shots"
    assert SPECIES_WORDS.keys() == HELD_MG_PER_G.keys()


@pytest.mark.parametrize("pregnant", [False, True])
def test_the_limits_are_told_with_their_source(pregnant: bool) -> None:
    said = limits_sentence(pregnant=pregnant)
    assert SOURCE in said
    assert "200 mg a day" in said
    assert ("400 mg" in said) != pregnant


@pytest.mark.parametrize(
    ("of", "limit_mg", "state", "said"),
    [
        ("day", 400, "below", "Both are below"),
        ("sitting", 200, "maybe past", "This sitting may be past 200 mg"),
        ("day", 400, "maybe past", "The day may be past 400 mg"),
        ("sitting", 200, "past", "This sitting is past 200 mg even by the low end"),
        ("day", 400, "past", "The day is past 400 mg even by the low end"),
    ],
)
def test_the_word_follows_the_range(of: str, limit_mg: int, state: str, said: str) -> None:
    sentence = standing_sentence(Standing(of=of, limit_mg=limit_mg, state=state))
    assert said in sentence
    assert "spit" in sentence


@pytest.mark.parametrize(
    ("state", "said"), [("below", "below 200"), ("maybe past", "may be past 200"), ("past", "is past 200")]
)
def test_a_stronger_word_in_pregnancy(state: str, said: str) -> None:
    sentence = standing_sentence(Standing(of="day", limit_mg=200, state=state, pregnant=True))
    assert said in sentence
    assert "midwife" in sentence
    assert ("swallow no more today" in sentence) == (state != "below")


def test_the_tally_names_what_was_pulled_and_says_so_unasked_once_it_is_past() -> None:
    two = Caffeine(shots=2, low_mg=72, high_mg=268, species=("arabica", "decaf"))
    tally = Tally(sitting=two, day=two, pregnant=False)
    drunk, limits, so = tally_lines(tally)
    assert drunk.endswith("today 2 shots, 70 to 270 mg; if drunk to the end, Arabica and decaffeinated")
    assert (SOURCE in limits, SOURCE in so) == (True, False)
    assert past_lines(tally) == ()
    assert "dialopt bean" not in caffeine_said(tally, None).next_step
    assert past_lines(Tally(sitting=two, day=two, pregnant=True))[0].startswith("  Mind     The day may be past 200 mg")
    much = Caffeine(shots=6, low_mg=432, high_mg=1512, species=(UNKNOWN,))
    past = Tally(sitting=much, day=much, pregnant=False)
    assert past_lines(past)[0].startswith("  Mind     The day is past 400 mg even by the low end")
    assert "dialopt bean NAME --species KIND" in caffeine_said(past, None).next_step
    assert caffeine_said(past, True).did == "Estimated the caffeine of 6 shots today. Pregnancy is set."
