from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from dialopt.logbook.records import Log
from dialopt.report.hindsight import Look
from dialopt.report.tables import shot_rows
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


def test_rows_say_what_counts_and_what_does_not(a_pairing: Callable[..., Pairing], log: Log, looks: list[Look]) -> None:
    first, second, faulty, untasted, odd = shot_rows(a_pairing(), log, looks, notes=False)
    assert first.recipe == ("22", "18 g", "93 °C")
    assert (first.cup, first.score, first.balance, first.date) == ("36.2 g in 21 s", "5.5", "sour", "2031-04-09")
    assert second.remarks == ("Strength 9.8 %, extraction yield 19.6 %.",)
    assert faulty.remarks[0].startswith("Channelled: ")
    assert "doesn't count" in faulty.remarks[0]
    unscored = {number: replace(shot, score=None) for number, shot in log.items()}
    assert "doesn't count" not in shot_rows(a_pairing(), unscored, looks, notes=False)[2].remarks[0]
    assert untasted.remarks == ("Not tasted: only the clock and the cup count.",)
    assert odd.remarks == ("Scored lower than predicted.",)
    assert odd.cup == ""


def test_notes_stay_private_unless_asked_for(a_pairing: Callable[..., Pairing], log: Log, looks: list[Look]) -> None:
    assert not any(row.note for row in shot_rows(a_pairing(), log, looks, notes=False))
    assert shot_rows(a_pairing(), log, looks, notes=True)[1].note == "plum jam, secret"


def test_a_shot_that_nobody_looked_back_on_has_no_foretelling(
    a_pairing: Callable[..., Pairing], log: Log, looks: list[Look]
) -> None:
    assert shot_rows(a_pairing(), log, looks[1:], notes=False)[0].predicted == ""


def test_a_slip_of_the_pen_is_told_from_what_is_read(
    a_pairing: Callable[..., Pairing], shots: list[Shot], looks: list[Look]
) -> None:
    slip = replace(shots[0], recipe=replace(shots[0].recipe, grind=220))
    rows = shot_rows(a_pairing(), {1: slip, 2: shots[1]}, looks[1:2], notes=False)
    assert rows[0].remarks == ("Far off the dials, so it isn't read.",)
    assert rows[1].remarks == ("Strength 9.8 %, extraction yield 19.6 %.",)
