from __future__ import annotations

from dataclasses import replace

import pytest

from dialopt import Basket, Dial, Estimate, Pairing, Recipe, Shot, SweetSpot
from dialopt.text.sweet_spot import missing_sentences, shape_sentences, sure_sentence


@pytest.mark.parametrize(
    ("chance", "expected"),
    [(0.83, "likely, about 4 in 5"), (0.1, "There may well be better: the chance is about 1 in 10")],
)
def test_sureness_is_words_and_numbers(chance: float, expected: str) -> None:
    spot = SweetSpot(
        recipe=Recipe(grind=18, dose_g=18, temp_c=93),
        score=Estimate(mean=8, low=7, high=9),
        prob_near_optimal=chance,
        edges=(),
        predictive=None,  # type: ignore[arg-type]  # never asked
    )
    assert expected in sure_sentence(spot)


def test_sentences_name_ends_lines_and_modes(pairing: Pairing) -> None:
    grinder = replace(pairing.grinder, grind=Dial(0, 20, 1))
    pairing = replace(pairing, grinder=grinder, basket=Basket(dose_g=Dial(18, 18)))

    def at(grind: float, temp_c: float) -> Recipe:
        return Recipe(grind=grind, dose_g=18, temp_c=temp_c)

    spot = SweetSpot(
        recipe=at(0, 96),
        score=Estimate(mean=8, low=7, high=9),
        prob_near_optimal=0.8,
        edges=("grind", "temp_c"),
        near_optimal_ridge=(at(0, 96), at(12, 90)),
        modes=(at(18, 89),),
        predictive=None,  # type: ignore[arg-type]  # never asked
    )
    fine, hot, line, mode = shape_sentences(pairing, spot)
    assert "beyond, the fine end of the dial (0)" in fine
    assert "beyond, the upper end of the dial (96 °C)" in hot
    assert "from grind 0, 96 °C to grind 12, 90 °C" in line
    assert "around grind 18, 89 °C" in mode
    fast, cool = shape_sentences(pairing, replace(spot, recipe=at(20, 88), near_optimal_ridge=None, modes=()))
    assert "beyond, the coarse end of the dial (20)" in fast
    assert "beyond, the lower end of the dial (88 °C)" in cool
    turned = replace(pairing, grinder=replace(pairing.grinder, finer="up"))
    assert "beyond, the coarse end of the dial (0)" in shape_sentences(turned, spot)[0]


def test_what_is_missing_is_said(shots: list[Shot]) -> None:
    tasted = shots[0]
    assert "No shot has been logged" in missing_sentences([])[0]
    assert "Every shot was marked" in missing_sentences([replace(tasted, fault="channelled")])[0]
    assert "No shot has a score" in missing_sentences([replace(tasted, score=None)])[0]
    assert "No shot has a time" in missing_sentences([replace(tasted, time_s=None)])[0]
    assert missing_sentences(shots) == []
