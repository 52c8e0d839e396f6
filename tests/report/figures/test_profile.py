from __future__ import annotations

from collections.abc import Callable

import numpy as np

from dialopt.engine.advice import Advice
from dialopt.report.figures.profile import along, profile_figure
from dialopt.trade.dial import Dial
from dialopt.trade.pairing import Pairing


def test_the_bands_lie_inside_each_other(an_advice: Callable[..., Advice]) -> None:
    cup_low, cup_high, low, high, mean, _ = (
        np.array(trace["y"]) for trace in profile_figure(an_advice(), "grind").plot["data"]
    )
    assert (cup_low <= low + 1e-3).all()
    assert (low <= mean + 1e-3).all()
    assert (mean <= high + 1e-3).all()
    assert (high <= cup_high + 1e-3).all()


def test_a_fine_dial_is_thinned_around_the_sweet_spot(
    a_pairing: Callable[..., Pairing], an_advice: Callable[..., Advice]
) -> None:
    advice = an_advice(a_pairing(grind=Dial(0.5, 100, 0.1)))
    recipes = along(advice, "grind")
    assert len(recipes) <= 61
    assert advice.sweet_spot.recipe in recipes
    assert {(recipe.dose_g, recipe.temp_c) for recipe in recipes} == {(18.0, 93.0)}
