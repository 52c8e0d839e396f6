from __future__ import annotations

from dialopt.text.guidance import HOLD_STILL, MILK, STOP_STEAMING


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
