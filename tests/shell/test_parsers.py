from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt.errors import BadValue
from dialopt.shell.parsers import (
    did_you_mean,
    read_amount,
    read_bag_recipe,
    read_dial,
    read_ratio,
    read_roast_day,
    read_temp_dial,
)
from dialopt.shell.render import clean
from dialopt.trade.bag_recipe import BagRecipe
from dialopt.trade.dial import Dial


def test_dials():
    assert read_dial("grind", "0:40:1") == Dial(0, 40, 1)
    assert read_dial("grind", "-5:20:0,25") == Dial(-5, 20, 0.25)
    assert read_dial("temp_c", "93") == Dial(93, 93)
    with pytest.raises(BadValue, match=r"LOW first, then HIGH, as 0:40:1, and `--finer` says which way") as caught:
        read_dial("grind", "40:0:1")
    assert caught.value.field == "grind"
    with pytest.raises(BadValue, match=r"as 16:20:0\.1\."):
        read_dial("dose_g", "20:16:0.1")


def test_the_water_s_dial_knows_fahrenheit():
    assert read_temp_dial("88:96:1") == Dial(88, 96, 1)
    for text in ("190:205:1", "88:205:1", "200"):
        with pytest.raises(BadValue, match="looks like °F"):
            read_temp_dial(text)


@pytest.mark.parametrize("text", ["2", "1:2", " 1 : 2 ", "1:2,0", "2.0"])
def test_a_ratio_with_or_without_its_one(text):
    assert read_ratio(text) == 2


@pytest.mark.parametrize("text", ["", "1:", "2:1", "1:1:2", "two"])
def test_what_is_no_ratio_is_refused(text):
    with pytest.raises(BadValue, match="as 2 or 1:2"):
        read_ratio(text)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("18 g, 1:2, 28 s, 93 °C", {"dose_g": 18, "ratio": 2, "time_s": 28, "temp_c": 93}),
        ("18g 40.5g 93C", {"dose_g": 18, "ratio": 2.25, "temp_c": 93}),
        ("94,5 °C", {"temp_c": 94.5}),
        ("18-19 g, 1:2-2,5, 25–30 s", {"dose_g": 18.5, "ratio": 2.25, "time_s": 27.5}),
        ("in 30 s at 1 : 2,5", {"time_s": 30, "ratio": 2.5}),
    ],
)
def test_as_much_of_a_suggestion_as_there_is(text, told):
    assert read_bag_recipe(text) == BagRecipe(**told)


@pytest.mark.parametrize(
    "text", ["", "strong", "18", "18 g 19 g 20 g", "93 °C 94 °C", "18 g 36 g 1:2", "500 s", "0 g", "30-25-20 s"]
)
def test_what_is_no_suggestion_is_refused(text):
    with pytest.raises(BadValue, match="suggest"):
        read_bag_recipe(text)


def test_degrees_of_another_kind_are_told_so():
    with pytest.raises(BadValue, match="in °C, not °F; 200 °F is 93 °C"):
        read_bag_recipe("18 g, 200 °F")


def test_a_ratio_the_wrong_way_round_is_told_so():
    for text in ("18 g, 2:1", "2,5 : 1"):
        with pytest.raises(BadValue, match=r"a ratio with the coffee first, 1:2(,5)?\."):
            read_bag_recipe(text)
    assert read_bag_recipe("18 g 1:1") == BagRecipe(dose_g=18, ratio=1)


def test_each_dial_has_an_example_of_its_own():
    for field, example in (("grind", "0:40:1"), ("dose_g", "16.5:20:0.1"), ("temp_c", "88:96:1")):
        for text in ("18x", "16:20"):
            with pytest.raises(BadValue, match=f"such as {example}"):
                read_dial(field, text)


def test_dates():
    today = date(2031, 4, 9)
    assert read_roast_day("2031-04-01", today) == date(2031, 4, 1)
    with pytest.raises(BadValue, match="past two years"):
        read_roast_day("2013-04-01", today)
    for text in ("2031-04-10", "2031-12-04", "04/01/2031", "9 April"):
        with pytest.raises(BadValue, match="year-month-day, as 2031-04-09"):
            read_roast_day(text, today)


def test_amounts_with_their_unit():
    assert read_amount("hardness", " 4,5 °dH ") == (4.5, "°dH")
    assert read_amount("hardness", "122mg/L HCO3") == (122.0, "mg/L HCO3")
    assert read_amount("hardness", "70") == (70.0, "ppm")
    for text in ("", "°dH", "about 4 °dH", "1.2.3 ppm", "-"):
        with pytest.raises(BadValue, match="as 4 °dH or 70 ppm"):
            read_amount("hardness", text)


@given(st.text())
def test_a_clean_line_is_one_line_without_controls(text):
    assert all(letter.isprintable() for letter in clean(text))


@pytest.mark.parametrize("text", ["0 g → 36 g", "0,0 g 36 g 28 s"])
def test_a_suggested_dose_of_nothing_is_refused(text):
    with pytest.raises(BadValue, match="with a dose above 0"):
        read_bag_recipe(text)


KNOWN = ("Harbour Fog", "Pier Mist", "lot 12", "Quay A")


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
def test_the_name_that_was_likely_meant(name: str, there: str | None) -> None:
    assert did_you_mean(name, KNOWN) == there


def test_nothing_known_is_like_nothing() -> None:
    assert did_you_mean("Harbour Fog", []) is None
