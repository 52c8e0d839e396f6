from __future__ import annotations

from dataclasses import replace

import pytest

from dialopt import Basket, Dial, Pairing, Recipe, Shot
from dialopt.model.table import tabulate


def read(pairing: Pairing, **settings: float) -> bool:
    recipe = Recipe(**{"grind": 18.0, "dose_g": 18.0, "temp_c": 93.0, **settings})
    return len(tabulate(pairing, [Shot(recipe=recipe, score=7)]).score) == 1


@pytest.mark.parametrize(
    ("near", "far"),
    [
        ({"grind": 80}, {"grind": 80.1}),
        ({"grind": -40}, {"grind": -40.1}),
        ({"dose_g": 8.25}, {"dose_g": 8.2}),
        ({"dose_g": 40}, {"dose_g": 40.1}),
        ({"temp_c": 68}, {"temp_c": 67.9}),
        ({"temp_c": 110}, {}),  # no recipe is hotter
    ],
)
def test_what_lies_far_off_a_dial_is_a_slip_of_the_pen(
    pairing: Pairing, near: dict[str, float], far: dict[str, float]
) -> None:
    assert read(pairing, **near)
    assert not far or not read(pairing, **far)


def test_around_a_basket_of_one_dose_whatever_it_may_hold_is_read(pairing: Pairing) -> None:
    fixed = replace(pairing, basket=Basket(dose_g=Dial(18, 18)))
    assert all(read(fixed, dose_g=dose_g) for dose_g in (14, 16.5, 18, 20, 22))
