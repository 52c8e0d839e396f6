from __future__ import annotations

import pytest

from dialopt.text.captions import clocks_key, crest_sentence, good_range_sentence, off_bars_sentence, turn_sentence


def test_where_the_best_of_a_dial_lies_at_both_ends_of_another() -> None:
    leaning = crest_sentence("grind", (18, 14), "temp_c", (88, 96))
    assert leaning == "the likeliest best grind goes from 18 at 88 °C to 14 at 96 °C."
    level = crest_sentence("temp_c", (93, 93), "grind", (0, 40))
    assert level == "the likeliest best temperature is the same at grind 0 and 40."


def test_how_exactly_a_dial_has_to_be_set() -> None:
    assert good_range_sentence("grind", 16, 19, whole=False).startswith("Anything from grind 16 to 19 is expected")
    assert "already expected to be worse" in good_range_sentence("grind", 18, 18, whole=False)
    assert good_range_sentence("grind", 0, 40, whole=True).startswith("The whole dial")


def test_what_turning_the_grind_does() -> None:
    ends = [(0.0, 60.4), (40.0, 12.0)]
    said = "At the sweet spot going 1 step finer adds about 2.5 s. The ends of the dial: 60 s at grind 0, 12 s at"
    assert turn_sentence(1, 27, 29.5, ends) == f"{said} grind 40."
    assert "going 5 steps coarser takes off about 4 s." in turn_sentence(-5, 27, 23, ends)


@pytest.mark.parametrize(
    ("outside", "said"),
    [
        ((), "Every score that counts lies on its bar."),
        ((4,), "Shot 4 lies off its bar."),
        ((4, 5), "Shots 4 and 5 lie off"),
    ],
)
def test_which_scores_were_not_as_predicted(outside: tuple[int, ...], said: str) -> None:
    assert off_bars_sentence(outside, judged=True).startswith(said)
    assert off_bars_sentence((), judged=False) == "No shot has a score that counts."


def test_clocks_along_one_dial_are_read_otherwise_than_along_several() -> None:
    assert "All share a dial" in clocks_key(shared=True)
    assert "A step of one may be worth several of another" in clocks_key(shared=False)
