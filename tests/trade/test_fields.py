from __future__ import annotations

import math
from dataclasses import fields

import pytest

from dialopt import Recipe, Shot
from dialopt.errors import BadValue
from dialopt.trade.fields import FIELDS, NOTED_FIELDS, RECIPE_FIELDS

RECIPE = {"grind": 18, "dose_g": 18, "temp_c": 93}


def test_what_is_declared_is_what_recipes_and_shots_hold() -> None:
    assert [field.name for field in RECIPE_FIELDS] == [field.name for field in fields(Recipe)]
    assert {field.name for field in NOTED_FIELDS} == {field.name for field in fields(Shot)} - {"recipe"}
    assert len({field.option[0] for field in FIELDS}) == len(FIELDS)


@pytest.mark.parametrize("field", [field for field in NOTED_FIELDS if field.kind == "number"], ids=lambda it: it.name)
def test_a_number_is_held_to_its_bounds(field) -> None:
    recipe = Recipe(**RECIPE)
    for value in (field.low, field.high):
        assert getattr(Shot(recipe=recipe, **{field.name: value}), field.name) == value
    for value in (field.low - 0.01, field.high + 0.01, math.nan, "much"):
        with pytest.raises(BadValue, match=f"^{field.name} "):
            Shot(recipe=recipe, **{field.name: value})
    assert getattr(Shot(recipe=recipe), field.name) is None
