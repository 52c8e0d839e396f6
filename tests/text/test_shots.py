from __future__ import annotations

from dataclasses import replace

from dialopt import Estimate, Pairing, Recipe, Shot
from dialopt.text.shots import cup_words, mark_says, remarks

SHOT = Shot(
    recipe=Recipe(grind=18, dose_g=18.5, temp_c=93), yield_g=36.2, time_s=21, score=5.5, tds_pct=9.8, note="secret"
)


def test_the_cup_as_far_as_it_was_noted() -> None:
    assert cup_words(SHOT) == "36.2 g in 21 s"
    assert cup_words(replace(SHOT, time_s=None)) == "36.2 g"
    assert cup_words(replace(SHOT, yield_g=None)) == "21 s"
    assert cup_words(replace(SHOT, yield_g=None, time_s=None)) == ""


def test_a_mark_says_numbers_and_fixed_words_only() -> None:
    assert mark_says(3, replace(SHOT, fault="spilt")) == "shot 3, grind 18, 18.5 g, 93 °C, 21 s, score 5.5, spilt"
    assert mark_says(4, Shot(recipe=SHOT.recipe)) == "shot 4, grind 18, 18.5 g, 93 °C"


def test_what_sets_a_shot_apart(pairing: Pairing) -> None:
    strength = "Strength 9.8 %, extraction yield 19.2 %."
    assert remarks(pairing, SHOT, None) == (strength,)
    for interval, side in ((Estimate(mean=7, low=6, high=8), "lower"), (Estimate(mean=4, low=3, high=5), "higher")):
        assert remarks(pairing, SHOT, interval) == (f"Scored {side} than predicted.", strength)
    weak = replace(SHOT, tds_pct=None)
    assert remarks(pairing, replace(weak, score=None), None) == ("Not tasted: only the clock and the cup count.",)
    (spilt,) = remarks(pairing, replace(weak, fault="spilt"), None)
    assert spilt == "Spilt: part of the cup was lost: the clock stands, the cup doesn't. The score doesn't count."
    (far,) = remarks(pairing, replace(weak, recipe=replace(SHOT.recipe, grind=400)), None)
    assert far == "Far off the dials, so it isn't read."
