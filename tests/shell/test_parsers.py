"""What people type is read, or answered with what would be."""

from __future__ import annotations

from datetime import date
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt import Basket, Bean, Grinder, Machine, Pairing, Recipe, Shot
from dialopt.errors import BadValue
from dialopt.shell.parsers import (
    did_you_mean,
    read_amount,
    read_bag_recipe,
    read_dial,
    read_hold,
    read_ratio,
    read_roast_day,
    read_temp_dial,
)
from dialopt.shell.render import clean
from dialopt.trade.bag_recipe import BagRecipe
from dialopt.trade.dial import Dial

grind, dose, temp = (partial(read_dial, field) for field in ("grind", "dose_g", "temp_c"))
hardness = partial(read_amount, "hardness")
roast_day = partial(read_roast_day, today=date(2031, 4, 9))


@pytest.mark.parametrize(
    ("read", "texts", "value"),
    [
        (grind, ("0:40:1",), Dial(0, 40, 1)),
        (grind, ("-5:20:0,25",), Dial(-5, 20, 0.25)),
        (temp, ("93",), Dial(93, 93)),
        (read_temp_dial, ("88:96:1",), Dial(88, 96, 1)),
        (read_ratio, ("2", "1:2", " 1 : 2 ", "1:2,0", "2.0"), 2),
        (roast_day, ("2031-04-01",), date(2031, 4, 1)),
        (hardness, (" 4,5 °dH ", "4.5°dH"), (4.5, "°dH")),
        (hardness, ("122mg/L HCO3",), (122.0, "mg/L HCO3")),
        (hardness, ("70",), (70.0, "ppm")),
        (read_bag_recipe, ("18 g, 1:2, 28 s, 93 °C",), BagRecipe(dose_g=18, ratio=2, time_s=28, temp_c=93)),
        (read_bag_recipe, ("18g 40.5g 93C",), BagRecipe(dose_g=18, ratio=2.25, temp_c=93)),
        (read_bag_recipe, ("94,5 °C",), BagRecipe(temp_c=94.5)),
        (read_bag_recipe, ("18-19 g, 1:2-2,5, 25–30 s",), BagRecipe(dose_g=18.5, ratio=2.25, time_s=27.5)),
        (read_bag_recipe, ("in 30 s at 1 : 2,5",), BagRecipe(time_s=30, ratio=2.5)),
        (read_bag_recipe, ("18 g 1:1",), BagRecipe(dose_g=18, ratio=1)),
    ],
)
def test_what_is_understood(read, texts, value):
    assert {read(text) for text in texts} == {value}


@pytest.mark.parametrize(
    ("read", "texts", "accepted"),
    [
        (grind, ("40:0:1",), r"LOW first, then HIGH, as 0:40:1, and `--finer` says which way"),
        (dose, ("20:16:0.1",), r"as 16:20:0\.1\."),
        *((read, ("18x", "16:20"), f"such as {example}") for read, example in ((grind, "0:40:1"), (temp, "88:96:1"))),
        (dose, ("18x", "16:20"), r"such as 16\.5:20:0\.1"),
        (read_temp_dial, ("190:205:1", "88:205:1", "200"), "looks like °F"),
        (read_ratio, ("", "1:", "2:1", "1:1:2", "two"), "as 2 or 1:2"),
        (read_bag_recipe, ("", "strong", "18", "18 g 19 g 20 g", "93 °C 94 °C", "18 g 36 g 1:2"), "suggest"),
        (read_bag_recipe, ("500 s", "0 g", "30-25-20 s"), "suggest"),
        (read_bag_recipe, ("18 g, 200 °F",), "in °C, not °F; 200 °F is 93 °C"),
        (read_bag_recipe, ("18 g, 2:1", "2,5 : 1"), r"a ratio with the coffee first, 1:2(,5)?\."),
        (read_bag_recipe, ("0 g → 36 g", "0,0 g 36 g 28 s"), "with a dose above 0"),
        (roast_day, ("2013-04-01",), "past two years"),
        (roast_day, ("2031-04-10", "2031-12-04", "04/01/2031", "9 April"), "year-month-day, as 2031-04-09"),
        (hardness, ("", "°dH", "about 4 °dH", "1.2.3 ppm", "-"), "as 4 °dH or 70 ppm"),
    ],
)
def test_what_is_not_is_answered_with_what_would_be(read, texts, accepted):
    for text in texts:
        with pytest.raises(BadValue, match=accepted):
            read(text)


@given(st.text())
def test_a_clean_line_is_one_line_without_controls(text):
    assert all(letter.isprintable() for letter in clean(text))


@pytest.mark.parametrize(
    ("name", "there"),
    [
        ("Harbuor Fog", "Harbour Fog"),
        ("harbour fogg", "Harbour Fog"),
        ("Habour Fog", "Harbour Fog"),
        ("Pier Misty", "Pier Mist"),
        ("Harbour Fog", None),
        ("HARBOUR FOG", None),
        ("Harbour Haze", None),
        ("lot 13", None),
        ("Quay B", None),
        ("Pier", None),
    ],
)
def test_the_name_that_was_likely_meant(name, there):
    assert did_you_mean(name, ("Harbour Fog", "Pier Mist", "lot 12", "Quay A")) == there
    assert did_you_mean(name, []) is None


HELD = Pairing(
    bean=Bean(name="washed sample"),
    grinder=Grinder(name="bench grinder", grind=Dial(0, 40, 1)),
    machine=Machine(name="bench machine", temp_c=Dial(88, 96, 1)),
    basket=Basket(dose_g=Dial(16.5, 20, 0.1)),
    ratio=Dial(1.5, 3, 0.1),
)


@pytest.mark.parametrize(
    ("text", "held"),
    [
        ("dose", {"dose_g": 17.5}),
        ("dose=18,1, temp", {"dose_g": 18.1, "temp_c": 94}),
        ("--grind, ratio=1:2.2", {"grind": 12, "ratio": 2.2}),
    ],
)
def test_dials_are_held_where_the_last_shot_had_them_or_as_typed(text, held):
    last = Shot(recipe=Recipe(grind=12, dose_g=17.5, temp_c=94, ratio=2.5))
    assert read_hold(text, HELD, last) == held


def test_what_cannot_be_held_is_named_with_what_can():
    with pytest.raises(BadValue, match="hold can't be 'pressure'; it takes grind, dose, temp, ratio"):
        read_hold("dose,pressure", HELD, None)
