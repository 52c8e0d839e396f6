from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from dialopt.report.data import data_hash, harmless, page_data
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


@given(st.text())
def test_data_in_a_script_can_neither_end_it_nor_change(text: str) -> None:
    shown = harmless({"name": text + "</script><!--"})
    assert "<" not in shown
    assert json.loads(shown) == {"name": text + "</script><!--"}


def test_the_hash_knows_every_number_and_no_note(shots: list[Shot]) -> None:
    same = [replace(shot, note="other words") for shot in shots]
    assert data_hash(same) == data_hash(shots)
    for field, value in (("score", 9.0), ("time_s", 33.0), ("fault", "spilt"), ("balance", 3.0), ("yield_g", 30.0)):
        assert data_hash([replace(shots[0], **{field: value}), *shots[1:]]) != data_hash(shots)


def test_notes_are_carried_only_when_asked_for(a_pairing: Callable[..., Pairing], shots: list[Shot]) -> None:
    assert "plum" not in harmless(page_data(a_pairing(), shots, notes=False))
    carried = page_data(a_pairing(), shots, notes=True)
    assert carried["shots"][1]["note"] == "plum jam, secret"
    assert carried["grinder"]["grind"] == {"low": 10.0, "high": 26.0, "step": 1.0}
    assert carried["bean"]["roasted_on"] == "2031-04-01"
