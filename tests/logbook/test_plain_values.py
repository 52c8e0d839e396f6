from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt import FAULTS, BagRecipe, Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Refused, Shot
from dialopt.logbook.plain_values import canonical, case_from_values, case_values, data_hash

PAIRING = Pairing(
    bean=Bean(
        name="</script> Größe",
        roasted_on=date(2031, 4, 1),
        roast="dark",
        suggested=BagRecipe(time_s=27.5, ratio=2.1),
        species="blend",
        opened_on=date(2031, 4, 8),
    ),
    grinder=Grinder(name="g", grind=Dial(10, 26, 0.25), finer="up", burrs="flat"),
    machine=Machine(name="m", temp_c=Dial(93, 93)),
    basket=Basket(name="b", dose_g=Dial(16, 20, 0.1)),
    ratio=2.25,
    drink="milk",
)

maybe = st.none()
shots_made = st.builds(
    Shot,
    recipe=st.builds(
        Recipe,
        grind=st.floats(-50, 50),
        dose_g=st.floats(5, 30),
        temp_c=st.floats(80, 100),
    ),
    yield_g=maybe | st.floats(5, 100),
    time_s=maybe | st.floats(1, 200),
    score=maybe | st.floats(0, 10),
    balance=maybe | st.integers(-3, 3),
    fault=maybe | st.sampled_from(sorted(FAULTS)),
    tds_pct=maybe | st.floats(1, 20),
    pulled_at=maybe | st.datetimes(datetime(2020, 1, 1), datetime(2040, 1, 1)),
    note=maybe | st.text(min_size=1, max_size=40).filter(lambda text: text.strip() and text.isprintable()),
)


@given(st.lists(shots_made, max_size=4))
def test_what_is_told_reads_back(shots: list[Shot]) -> None:
    told = json.loads(canonical(case_values(PAIRING, shots, notes=True)))
    assert case_from_values(told) == (PAIRING, shots)
    bare = json.loads(canonical(case_values(PAIRING, shots, notes=False)))
    assert case_from_values(bare) == (PAIRING, [replace(shot, note=None) for shot in shots])


def test_the_hash_knows_every_number_and_no_note(shots: list[Shot]) -> None:
    same = [replace(shot, note="other words") for shot in shots]
    assert data_hash(same) == data_hash(shots)
    for field, value in (("score", 9.0), ("time_s", 33.0), ("fault", "spilt"), ("balance", 3.0), ("yield_g", 30.0)):
        assert data_hash([replace(shots[0], **{field: value}), *shots[1:]]) != data_hash(shots)


ORACLE = case_values(PAIRING, [Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), score=7)], notes=False)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (None, "here all of it is no set of named values"),
        ([], "here all of it is no set of named values"),
        ("case", "here all of it is no set of named values"),
        ({}, "here bean is missing"),
        (ORACLE | {"shots": None}, "The shots aren't a list"),
        (ORACLE | {"shots": [{}] * 10_001}, "or are more than 10,000"),
        (ORACLE | {"shots": [None]}, "here shot 1 is no set of named values"),
        (ORACLE | {"shots": [ORACLE["shots"][0], 5]}, "here shot 2 is no set of named values"),
        (ORACLE | {"shots": [{"grind": 1}]}, "here dose_g is missing"),
        (ORACLE | {"shots": [ORACLE["shots"][0] | {"score": 11}]}, "score can't be 11"),
        (ORACLE | {"shots": [ORACLE["shots"][0] | {"pulled_at": "noon"}]}, "it takes a moment such as 2031-04-09T08"),
        (ORACLE | {"shots": [ORACLE["shots"][0] | {"fault": {}}]}, "fault can't be {}"),
        (ORACLE | {"bean": {}}, "here name is missing"),
        (ORACLE | {"bean": {"name": 7}}, "bean name can't be 7"),
        (ORACLE | {"bean": {"name": "x", "roasted_on": "yesterday"}}, "it takes year-month-day"),
        (ORACLE | {"bean": {"name": "x", "roasted_on": 7}}, "roasted_on can't be 7; it takes year-month-day"),
        (ORACLE | {"bean": {"name": "x", "suggested": {}}}, "can't be empty; it takes a dose"),
        (ORACLE | {"bean": {"name": "x", "suggested": 7}}, "here suggested is no set of named values"),
        (ORACLE | {"grinder": {"name": "g"}}, "here grind is missing"),
        (ORACLE | {"machine": {"name": "m", "temp_c": [88, 96, 1]}}, "here a dial is no set of named values"),
        (ORACLE | {"machine": {"name": "m", "temp_c": {"low": 96, "high": 88, "step": 1}}}, "high can't be 88"),
        ({name: value for name, value in ORACLE.items() if name != "drink"}, "here drink is missing"),
        (ORACLE | {"ratio": "two"}, "ratio can't be 'two'"),
        (ORACLE | {"ratio": 10**400}, "ratio can't be 1000"),
        (ORACLE | {"drink": ["milk"]}, "drink can't be ['milk']"),
    ],
)
def test_a_refusal_names_what_is_wrong_in_the_case(wrong: object, said: str) -> None:
    with pytest.raises(Refused) as caught:
        case_from_values(wrong)
    assert said in str(caught.value)


def test_what_the_keeper_of_the_logbook_sets_is_neither_sent_nor_read() -> None:
    own = {"taster": "Ada", "counts": "recipe", "bags_to_come": 3}
    assert not own.keys() & case_values(replace(PAIRING, **own), [], notes=True).keys()
    assert case_from_values(case_values(PAIRING, [], notes=True) | own) == (PAIRING, [])


def test_minus_nought_and_nought_have_the_same_hash(shots: list[Shot]) -> None:
    assert data_hash([replace(shots[0], balance=-0.0)]) == data_hash([replace(shots[0], balance=0.0)])
