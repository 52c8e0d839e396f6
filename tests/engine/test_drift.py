"""Ageing in steps of the grind dial, from draws written by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from types import SimpleNamespace

import numpy as np
import pytest

from dialopt import Dial, Pairing, Recipe, Shot
from dialopt.engine.drift import finer_today, rested_days
from dialopt.model.observations import aged

DRIFT, GRIND = -0.2, 2.4
BELIEF = SimpleNamespace(
    parametric=SimpleNamespace(parameters={"time_grind": np.full((8, 1), GRIND), "time_drift": np.full((8, 1), DRIFT)})
)


def pulled(*days: int) -> list[Shot]:
    recipe = Recipe(grind=20, dose_g=18, temp_c=92)
    return [Shot(recipe=recipe, time_s=28, pulled_at=datetime(2026, 3, day, 9, tzinfo=UTC)) for day in days]


def test_steps_are_what_the_shot_time_lost_over_what_a_step_brings(pairing: Pairing) -> None:
    assert pairing.grinder.grind.count == 41
    lost = DRIFT * -aged(date(2026, 3, 1), date(2026, 3, 13))
    found = finer_today(pairing, pulled(1, 13), BELIEF, None)  # type: ignore[arg-type]
    assert found is not None
    assert found.mean == pytest.approx(-lost / (GRIND / 40))
    assert found.mean > 0
    later = finer_today(pairing, pulled(1), BELIEF, date(2026, 3, 13))  # type: ignore[arg-type]
    assert later == found


def test_nothing_is_said_of_one_day_or_of_a_grind_that_stays(pairing: Pairing) -> None:
    still = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(20, 20)))
    assert finer_today(pairing, pulled(4, 4), BELIEF, None) is None  # type: ignore[arg-type]
    assert finer_today(pairing, [], BELIEF, date(2026, 3, 13)) is None  # type: ignore[arg-type]
    assert finer_today(still, pulled(1, 13), BELIEF, None) is None  # type: ignore[arg-type]


def test_days_of_rest_are_counted_from_the_last_dated_shot() -> None:
    assert rested_days(pulled(1, 13), date(2026, 3, 20)) == 7
    assert rested_days(pulled(1, 13), date(2026, 3, 10)) == 0
    assert rested_days(pulled(1, 13), None) == 0
    assert rested_days([], date(2026, 3, 20)) == 0
