from __future__ import annotations

import pytest

from dialopt.text.captions import (
    crest_sentence,
    good_range_sentence,
    off_bars_sentence,
    shot_times_key,
    sureness_caption,
    turn_sentence,
)
from dialopt.trade.estimate import Estimate


def test_where_the_best_of_a_dial_lies_at_both_ends_of_another() -> None:
    leaning = crest_sentence("grind", (18, 14), "temp_c", (88, 96))
    assert leaning == "the best grind is most likely 18 at 88 °C and 14 at 96 °C."
    level = crest_sentence("temp_c", (93, 93), "grind", (0, 40))
    assert level == "the best temperature is most likely 93 °C at both grind 0 and 40."


def test_how_exactly_a_dial_has_to_be_set() -> None:
    assert good_range_sentence("grind", 16, 19, whole=False).startswith("Anything from grind 16 to 19 is expected")
    assert "already expected to be worse" in good_range_sentence("grind", 18, 18, whole=False)
    assert good_range_sentence("grind", 0, 40, whole=True).startswith("The whole dial")


def test_what_turning_the_grind_does() -> None:
    ends = [(0.0, 60.4), (40.0, 12.0)]
    said = "From the sweet spot, going 1 step finer adds about 2.5 s. A shot takes 60 s at grind 0 and 12 s at"
    assert turn_sentence(1, 27, 29.5, ends) == f"{said} grind 40."
    assert "going 5 steps coarser takes off about 4 s." in turn_sentence(-5, 27, 23, ends)


@pytest.mark.parametrize(
    ("outside", "said"),
    [
        ((), "Every score that counts is on its bar."),
        ((4,), "Shot 4 is off its bar."),
        ((4, 5), "Shots 4 and 5 are off"),
    ],
)
def test_which_scores_were_not_as_predicted(outside: tuple[int, ...], said: str) -> None:
    assert off_bars_sentence(outside, judged=True).startswith(said)
    assert off_bars_sentence((), judged=False) == "No shot has a score that counts."


def test_shot_times_along_one_dial_are_read_otherwise_than_along_several() -> None:
    assert "All share a dial" in shot_times_key(shared=True)
    assert "A step of one may be worth several of another" in shot_times_key(shared=False)


def test_how_sure_it_became() -> None:
    wide, close = Estimate(mean=5, low=1, high=9), Estimate(mean=7, low=6.5, high=7.5)
    assert sureness_caption((0, 12), (10, 81), (wide, close)) == (
        "The chance of being close went from 12 % after no shots to 81 % after 10 shots, the range of the liking at "
        "the sweet spot from 8.0 to 1.0 points."
    )
