from __future__ import annotations

from dataclasses import replace

import pytest

from dialopt import Basket, Dial, Pairing, Recipe, Shot
from dialopt.model.limits import LATEST
from dialopt.model.observations import observe


def read(pairing: Pairing, **inputs: float) -> bool:
    shot = Shot(recipe=Recipe(**{"grind": 18.0, "dose_g": 18.0, "temp_c": 93.0, **inputs}), score=7)
    return len(observe(pairing, pairing.meant([shot])).score) == 1


@pytest.mark.parametrize(
    ("near", "far"),
    [
        ({"grind": 50}, {"grind": 50.1}),
        ({"grind": -10}, {"grind": -10.1}),
        ({"dose_g": 12.7}, {"dose_g": 12.6}),
        ({"dose_g": 26}, {"dose_g": 26.1}),
        ({"temp_c": 78}, {"temp_c": 77.9}),
        ({"temp_c": 106}, {"temp_c": 106.1}),
    ],
)
def test_what_lies_far_off_a_dial_is_a_slip_of_the_pen(
    pairing: Pairing, near: dict[str, float], far: dict[str, float]
) -> None:
    assert read(pairing, **near)
    assert not read(pairing, **far)


def test_around_a_basket_of_one_dose_whatever_it_may_hold_is_read(pairing: Pairing) -> None:
    fixed = replace(pairing, basket=Basket(dose_g=Dial(18, 18)))
    assert all(read(fixed, dose_g=dose_g) for dose_g in (14, 16.5, 18, 20, 22))


def test_a_cup_pulled_day_after_day_leaves_what_was_learned_beside_it(pairing: Pairing) -> None:
    learned = [Shot(recipe=Recipe(grind=grind, dose_g=18, temp_c=93), score=6) for grind in (24, 20, 17, 14)]
    daily = [Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), score=score) for score in (7, 8) * LATEST]
    observations = observe(pairing, [*learned, *daily])
    assert observations.at.raw[:4, 0].tolist() == [24, 20, 17, 14]
    assert observations.at.raw[4:, 0].tolist() == [18] * (LATEST - 4)
    assert observations.score[-1] == 8, "the latest of what is pulled again and again"
    fewer = observe(pairing, [*daily[:2], *learned, *daily[:1]])
    assert fewer.at.raw[:, 0].tolist() == [18, 18, 24, 20, 17, 14, 18], "in the order in which they were pulled"
