from __future__ import annotations

from collections.abc import Callable

import pytest

from dialopt import advise
from dialopt.report import hindsight
from dialopt.report.hindsight import Look, look_back, track_record
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


def test_each_shot_is_foretold_from_the_shots_before_it_alone(
    a_pairing: Callable[..., Pairing], shots: list[Shot]
) -> None:
    pairing, told = a_pairing(), []
    looks = look_back(pairing, shots[:3], seed=4, progress=lambda done, of: told.append((done, of)))
    for number, look in enumerate(looks):
        before = advise(pairing, shots[:number], seed=4)
        assert look.foretold == before.foretell(shots[number].recipe, 0.9)
        assert look.chance_close == before.sweet_spot.chance_close
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_only_the_last_shots_are_looked_back_on(
    a_pairing: Callable[..., Pairing], shots: list[Shot], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(hindsight, "MOST_LOOKS", 1)
    assert [look.number for look in look_back(a_pairing(), shots[:2])] == [2]


def test_the_track_record_counts_tastings_only(looks: list[Look]) -> None:
    assert [look.inside for look in looks] == [True, True, None, None, False]
    assert track_record(looks).startswith("2 of 3 scores fell within")
    assert track_record(looks[2:4]) == "No score could yet be held against what was foretold."
