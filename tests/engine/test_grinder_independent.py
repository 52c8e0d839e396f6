from __future__ import annotations

from dataclasses import replace

import pytest

from dialopt import Dial, Pairing, Recipe, Shot, advise
from dialopt.engine.grinder_independent import grinder_independent
from dialopt.trade.grinder_independent import MARK_S


def test_the_recipe_is_stated_without_the_dial(pairing: Pairing, shots: list[Shot]) -> None:
    advice = advise(pairing, shots)
    stated = grinder_independent(advice, shots)
    best = advice.sweet_spot.recipe
    assert (stated.dose_g, stated.temp_c, stated.ratio) == (best.dose_g, best.temp_c, 2.0)
    assert stated.flow_g_s * stated.time_s.mean == pytest.approx(stated.yield_g)
    assert stated.score == advice.sweet_spot.score
    assert stated.tds_pct is None
    # Grind numbers of this grinder run down for finer: so many steps above the sweet spot lies the mark.
    steps = stated.steps_finer_than_mark
    assert steps is not None
    mark = Recipe(grind=best.grind + steps, dose_g=best.dose_g, temp_c=best.temp_c)
    assert advice.predict([mark]).time_s[0] == pytest.approx(MARK_S, rel=0.06)


def test_strength_is_that_measured_at_the_sweet_spot(pairing: Pairing, shots: list[Shot]) -> None:
    advice = advise(pairing, shots)
    there = [replace(shots[0], recipe=advice.sweet_spot.recipe, tds_pct=tds) for tds in (9.0, 9.4, 12.0)]
    spilt = replace(there[0], tds_pct=2.0, fault="spilt")
    assert grinder_independent(advice, [*shots, *there, spilt]).tds_pct == pytest.approx(9.4)
    # Off a machine of this one temperature by far more than a reading between two marks.
    only = replace(pairing, machine=replace(pairing.machine, temp_c=Dial(93, 93)))
    stated = advise(only, shots)
    at, off = (
        replace(there[0], recipe=replace(stated.sweet_spot.recipe, temp_c=temp_c), tds_pct=tds)
        for temp_c, tds in ((93.2, 9.0), (90.0, 11.0))
    )
    assert grinder_independent(stated, [at, off]).tds_pct == pytest.approx(9.0)
