from __future__ import annotations

from dataclasses import replace
from datetime import date

from dialopt import Bean, Pairing
from dialopt.text.guidance import HOLD_STILL, MILK, STOP_STEAMING, prepare_said


def test_milk_says_when_to_stop_and_that_it_scalds() -> None:
    # 60 to 65 °C is common practice; scald times second-hand; 65 °C as "very hot" IARC (read).
    assert "too hot to hold, about 60 to 65 °C" in STOP_STEAMING
    assert "scald" in STOP_STEAMING
    guidance = dict(MILK)
    assert "60 to 65 °C" in guidance["stop"]
    assert "second-hand" in guidance["scalds"]
    assert "purge" in guidance["wand"]


def test_what_is_held_still_names_each_thing_once() -> None:
    names = [name for name, _ in HOLD_STILL]
    assert names == ["distribution", "tamp", "warm-up", "cup", "yield", "basket", "water"]
    assert all(how for _, how in HOLD_STILL)


def test_what_to_see_to_before_pulling(pairing: Pairing) -> None:
    bare = replace(pairing, bean=Bean(name="harbour fog"), drink="straight")
    said = prepare_said(bare, date(2031, 4, 9), [])
    assert "no roasting date noted" in said.lines[0]
    assert said.lines[1] == "  Dose     basket takes 16.5 to 20 g; weigh each dose"
    assert sum(line.startswith("    ") for line in said.lines) == len(HOLD_STILL)
    milk = prepare_said(replace(bare, drink="milk"), date(2031, 4, 9), [date(2031, 3, 1)])
    assert "  Mind     a shot was pulled on 2031-03-01, before that roasting date: is it right?" in milk.lines
    assert sum(line.startswith("    ") for line in milk.lines) == len(HOLD_STILL) + len(MILK)
