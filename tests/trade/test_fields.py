from __future__ import annotations

import math
from dataclasses import fields, replace

import pytest

from dialopt import BagRecipe, Basket, Bean, Grinder, Machine, Pairing, Recipe, Shot
from dialopt.errors import BadValue
from dialopt.trade.fields import FIELDS, NOTED_FIELDS

RECIPE = {"grind": 18, "dose_g": 18, "temp_c": 93}


@pytest.mark.parametrize("kind", [Recipe, Shot, BagRecipe, Bean, Grinder, Machine, Basket, Pairing])
def test_what_is_declared_is_what_a_thing_holds(kind) -> None:
    assert {field.name for field in kind.FIELDS} == {field.name for field in fields(kind)} - {"recipe"}
    optional = {field.name for field in fields(kind) if field.default is None}
    assert {field.name for field in kind.FIELDS if not field.needed} == optional
    options = [field.option[0] for field in kind.FIELDS if field.option[0]]
    assert len(set(options)) == len(options)


@pytest.mark.parametrize("kind", [Bean, Grinder, Machine, Basket, Pairing])
def test_each_value_of_a_thing_is_held_to_its_declaration(kind, pairing: Pairing) -> None:
    thing = pairing if kind is Pairing else getattr(pairing, kind.__name__.lower())
    for field in kind.FIELDS:
        for value in (object(), math.nan, *([] if not field.needed else [None])):
            with pytest.raises(BadValue, match=f"^(bean |grinder |machine |basket )?{field.name} can't be"):
                replace(thing, **{field.name: value})


def test_options_of_a_shot_are_its_own() -> None:
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
