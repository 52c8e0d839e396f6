from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from dialopt import Comparison, Estimate, Palate, Recipe
from dialopt.text.palate import margin, noise_words, offset_words, palate_sentences, source_words, verdict

A, B = (Recipe(grind=grind, dose_g=18, temp_c=93) for grind in (18, 20))


def test_a_palate_in_words() -> None:
    found = Palate(
        noise=Estimate(mean=0.6, low=0.4, high=0.9),
        offset=Estimate(mean=0.44, low=0.1, high=0.8),
        repeats=1,
        notes=5,
        repeat=None,
    )
    assert "scatter by 0.6 points (0.4 to 0.9)" in noise_words(found)
    assert "may lie 1.4 apart" in noise_words(found)
    assert (
        offset_words(found) == "the best cup is noted as +0.4 (+0.1 to +0.8) on average, towards bitter, from 5 notes"
    )
    sour = replace(found, offset=Estimate(mean=-0.04, low=-0.1, high=-0.01), notes=1)
    assert offset_words(sour) == "the best cup is noted as 0 (−0.1 to 0) on average, towards sour, from 1 note"
    for low, high in ((-0.2, 0.4), (0.0, 0.4), (-0.4, 0.0)):
        either = replace(found, offset=Estimate(mean=0.1, low=low, high=high))
        assert offset_words(either).endswith(" on average, neither side for sure, from 5 notes")
    assert "neither sour nor bitter was noted yet" in offset_words(replace(found, notes=0))
    assert source_words(found, 5, earlier=False) == (
        "1 tasting of a recipe that had been tasted before; the rest from how the scores fit together and what is usual"
    )
    assert palate_sentences(found, 5, earlier=False) == (
        "scores of one recipe scatter by 0.6 points (0.4 to 0.9) as a standard deviation, so two of them may lie 1.4 "
        "apart (known from: 1 tasting of a recipe that had been tasted before; the rest from how the scores fit "
        "together and what is usual). The best cup is noted as +0.4 (+0.1 to +0.8) on average, towards "
        "bitter, from 5 notes."
    )
    assert source_words(replace(found, repeats=2), 1, earlier=False) == (
        "2 tastings of a recipe that had been tasted before; the rest from what is usual"
    )
    assert source_words(found, 2, earlier=True).endswith(
        "; the rest from how the scores fit together, earlier pairings and what is usual"
    )
    assert "earlier pairings" in palate_sentences(found, 5, earlier=True)
    none = source_words(replace(found, repeats=0), 0, earlier=True)
    assert none == "no recipe tasted twice yet; the rest from earlier pairings and what is usual"


def compared(chance: float, mean: float, low: float, high: float) -> Comparison:
    return Comparison(one=A, other=B, chance_better=chance, by=Estimate(mean=mean, low=low, high=high))


def test_a_comparison_in_words() -> None:
    assert verdict(compared(0.83, 1, -0.2, 2)) == "The chance is about 4 in 5 that A is better."
    assert verdict(compared(0.03, -1, -2, -0.1)) == "The chance is at least 19 in 20 that B is better."
    for chance in (0.41, 0.5, 0.59):
        assert verdict(compared(chance, 0, -1, 1)).startswith("Can't tell")
    assert verdict(compared(0.6, 0.1, -0.5, 0.5)) == (
        "The chance is about 3 in 5 that A is better; most likely they lie within half a point of each other."
    )
    assert margin(compared(0.83, 1, -0.2, 2)) == "A over B: 1.0 points (−0.2 to 2.0)"
    assert margin(compared(0.03, -1, -2, -0.1)) == "B over A: 1.0 points (0.1 to 2.0)"
    assert margin(compared(0.5, 0.2, -1, 1)) == "A over B: 0.2 points (−1.0 to 1.0)"
    assert "−0.0" not in margin(compared(0.5, -0.01, -0.02, 0.01))


def test_a_recipe_against_itself() -> None:
    same = Comparison(one=A, other=A, chance_better=0.5, by=Estimate(mean=0, low=0, high=0))
    assert verdict(same) == "They are the same recipe."


@given(st.floats(0.51, 1), st.lists(st.floats(-10, 10), min_size=3, max_size=3).map(sorted))
def test_a_margin_is_the_same_from_either_side(chance: float, by: list[float]) -> None:
    low, mean, high = by
    there, back = margin(compared(chance, mean, low, high)), margin(compared(1 - chance, -mean, -high, -low))
    assert there.replace("A over B", "B over A") == back
