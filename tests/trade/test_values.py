from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Any

import numpy as np
import pytest

from dialopt import BadValue, Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot

RECIPE = Recipe(grind=18, dose_g=18, temp_c=93, ratio=2)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("score", 10.5),
        ("score", -1),
        ("score", float("nan")),
        ("balance", 4),
        ("yield_g", 0),
        ("time_s", 0.2),
        ("time_s", "27"),
        ("tds_pct", 95),
        ("fault", "sneezed"),
        ("pulled_at", "2026-01-02"),
        ("note", 5),
        ("note", "x" * 10_001),
    ],
)
def test_a_bad_shot_says_which_field(field: str, value: Any) -> None:
    with pytest.raises(BadValue) as caught:
        Shot(recipe=RECIPE, **{field: value})
    assert caught.value.field == field
    assert "it takes" in str(caught.value)


def test_only_the_recipe_is_needed() -> None:
    shot = Shot(recipe=RECIPE)
    assert not shot.tasted
    assert not shot.timed
    assert shot.extraction_yield_pct is None


@pytest.mark.parametrize(("said", "kept"), [("Mis-weighed", "misweighed"), ("CHANNELLED", "channelled")])
def test_faults_are_read_kindly(said: str, kept: str) -> None:
    assert Shot(recipe=RECIPE, fault=said).fault == kept


def test_a_marked_fault_keeps_the_score_out() -> None:
    assert not Shot(recipe=RECIPE, score=3, fault="channelled").tasted
    assert Shot(recipe=RECIPE, time_s=27, fault="spilt").timed
    assert not Shot(recipe=RECIPE, time_s=27, fault="channelled").timed


def test_fahrenheit_is_recognised() -> None:
    with pytest.raises(BadValue, match="°F"):
        Recipe(grind=18, dose_g=18, temp_c=199)


def test_values_are_frozen() -> None:
    with pytest.raises(AttributeError):
        RECIPE.grind = 3  # type: ignore[misc]


def test_keywords_only() -> None:
    with pytest.raises(TypeError):
        Recipe(18, 18, 93)  # type: ignore[misc]


def test_a_pairing_wants_kit(pairing: Pairing) -> None:
    with pytest.raises(BadValue, match="bean can't be"):
        Pairing(bean="beans", grinder=pairing.grinder, machine=pairing.machine, basket=pairing.basket)  # type: ignore[arg-type]


def test_check_names_the_dial(pairing: Pairing) -> None:
    with pytest.raises(BadValue, match=r"grind can't be 18\.5; it takes a setting of this dial, 0 to 40 in steps of 1"):
        pairing.check(Recipe(grind=18.5, dose_g=18, temp_c=93))
    assert pairing.check(RECIPE) == RECIPE


def test_snap_brings_home(pairing: Pairing) -> None:
    assert pairing.snap(Recipe(grind=99, dose_g=18.04, temp_c=80)) == Recipe(grind=40, dose_g=18.0, temp_c=88, ratio=2)


@pytest.mark.parametrize(
    ("pulled", "dialled"),
    [
        ({"grind": 18.4}, {}),
        ({"dose_g": 18.04, "temp_c": 93.5}, {"temp_c": 94}),
        ({"grind": 60}, {"grind": 60}),
        ({"grind": 18.4, "dose_g": 25}, {"grind": 18.4, "dose_g": 25}),
    ],
)
def test_a_shot_is_of_the_setting_within_half_a_step_or_of_its_own(
    pairing: Pairing, pulled: dict[str, float], dialled: dict[str, float]
) -> None:
    assert pairing.as_dialled(replace(RECIPE, **pulled)) == replace(RECIPE, **dialled)


@pytest.mark.parametrize(("finer", "steps"), [("down", 4), ("up", -4)])
def test_finer_follows_the_dial(finer: str, steps: int) -> None:
    grinder = Grinder(name="g", grind=Dial(0, 40, 0.5), finer=finer)
    assert grinder.finer_steps(20, 18) == steps


def test_beans_take_a_date_only() -> None:
    assert Bean(name="b", roasted_on=date(2026, 11, 1)).roasted_on == date(2026, 11, 1)
    with pytest.raises(BadValue, match="roasted_on"):
        Bean(name="b", roasted_on=datetime(2026, 11, 1))


@pytest.mark.parametrize("name", ["", "   ", "a\nb", "\x1b[31m", None, 7])
def test_names_are_one_line_of_text(name: Any) -> None:
    with pytest.raises(BadValue, match="bean name"):
        Bean(name=name)


def test_temperatures_of_a_machine_are_plausible() -> None:
    with pytest.raises(BadValue, match="highest temp_c"):
        Machine(name="m", temp_c=Dial(90, 200, 1))
    with pytest.raises(BadValue, match="lowest dose_g"):
        Basket(dose_g=Dial(0, 20, 1))


@pytest.mark.parametrize("value", [10**400, -(10**400), 10**5000], ids=["400", "-400", "5000"])
def test_a_whole_number_beyond_all_floats_is_refused(value: int) -> None:
    with pytest.raises(BadValue, match=r"^score can't be .*; it takes a number from 0 to 10\.$") as caught:
        Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), score=value)
    assert len(str(caught.value)) < 150


def test_minus_nought_is_nought() -> None:
    shot = Shot(recipe=Recipe(grind=-0.0, dose_g=18, temp_c=93), balance=-0.0)
    assert (repr(shot.recipe.grind), repr(shot.balance)) == ("0.0", "0.0")


def test_a_value_nested_too_deep_to_print_is_refused_all_the_same() -> None:
    deep: list[Any] = []
    for _ in range(100_000):
        deep = [deep]
    with pytest.raises(BadValue, match=r"^bean name can't be such list; it takes some text\.$"):
        Bean(name=deep)  # type: ignore[arg-type]


@pytest.mark.parametrize("value", [np.array([7.0, 8.0]), np.array([[7.0]])], ids=["array", "table"])
def test_a_value_out_of_a_table_is_refused_in_one_line(value: object) -> None:
    with pytest.raises(BadValue, match=r"^score can't be .*; it takes a number from 0 to 10\.$"):
        Shot(recipe=RECIPE, score=value)  # type: ignore[arg-type]


def test_bounds_are_told_without_exponents_and_with_one_kind_of_minus() -> None:
    with pytest.raises(BadValue, match=r"it takes a number from −1,000,000,000 to 1,000,000,000\.$"):
        Recipe(grind=2e9, dose_g=18, temp_c=93)
    with pytest.raises(BadValue, match=r"it takes a number from −3 to 3 \(−3 very sour"):
        Shot(recipe=RECIPE, balance=4)
