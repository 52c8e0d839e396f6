"""What is somebody else's, and which pairings have to do with one another."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from dialopt import Bean, Pairing, Recipe, Shot
from dialopt.logbook.others import as_theirs, pulled_here, related
from dialopt.logbook.records import Entry, Operation, PairingRecord

NOON = datetime(2031, 4, 9, 12)
ENTRIES = [
    Entry(
        row=number,
        number=number,
        revision=1,
        shot=Shot(recipe=Recipe(grind=17 + number, dose_g=18, temp_c=93)),
        written_at=NOON,
    )
    for number in (1, 2)
]


def record(pairing: Pairing, number: int, shots: int = 1) -> PairingRecord:
    return PairingRecord(id=number, revision=1, pairing=pairing, shots=shots, saved_at=NOON)


@pytest.mark.parametrize(
    ("mine", "name", "roaster"),
    [
        (None, "harbour fog", "Quay"),
        (Bean(name="Harbour Fog", roaster="quay", bag_g=1000), "Harbour Fog", "quay"),
        (Bean(name="harbour fog"), "harbour fog", None),
        (Bean(name="harbour fog", roaster="Hill"), "harbour fog of Ada", "Quay"),
    ],
)
def test_theirs_can_t_be_taken_for_one_s_own(pairing: Pairing, mine: Bean | None, name: str, roaster: str) -> None:
    theirs = Bean(name="harbour fog", roaster="Quay", roasted_on=date(2031, 4, 1), bag_g=250)
    taken = as_theirs(replace(pairing, bean=theirs), "Ada", mine)
    assert (taken.taster, taken.grinder.name) == ("Ada", "bench grinder of Ada")
    assert (taken.machine.name, taken.basket.name) == ("bench machine of Ada", "basket of Ada")
    assert (taken.bean.name, taken.bean.roaster) == (name, roaster)
    assert taken.bean.roasted_on is None
    long = as_theirs(replace(pairing, grinder=replace(pairing.grinder, name="g" * 200)), "Ada", mine)
    assert long.grinder.name == "g" * 193 + " of Ada", "a long name gives way to the sender's"
    assert taken.bean.bag_g == (mine.bag_g if mine is not None else None), "what is true of their bag alone"


def test_of_somebody_else_s_pairing_what_was_logged_here_was_pulled_here(pairing: Pairing) -> None:
    came = Operation(id=1, kind="import", source="sent.json", at=NOON, undone_at=None, entries=(ENTRIES[0],))
    logged = Operation(id=2, kind="log", source=None, at=NOON, undone_at=None, entries=(ENTRIES[1],))
    theirs = record(replace(pairing, taster="Ada"), 1)
    assert pulled_here(theirs, ENTRIES, [came, logged]) == [ENTRIES[1].shot]
    assert len(pulled_here(record(pairing, 1), ENTRIES, ())) == 2


def test_related_are_those_with_shots_that_share_bean_or_grinder(pairing: Pairing) -> None:
    other_bean = replace(pairing, bean=Bean(name="quay dusk"))
    other_mill = replace(pairing, grinder=replace(pairing.grinder, name="hand grinder"))
    records = [
        record(pairing, 1),
        record(other_bean, 2),
        record(other_mill, 3),
        record(replace(other_mill, bean=other_bean.bean), 4),
        record(other_bean, 5, shots=0),
    ]
    assert [it.id for it in related(records[0], records)] == [2, 3]
