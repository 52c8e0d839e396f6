from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from dialopt import Dial, Pairing, Recipe
from dialopt.engine.candidates import candidates, neighbourhood, on_the_dials


def test_every_row_is_nearest_to_its_own_recipe(pairing: Pairing) -> None:
    lattice = candidates(pairing, {})
    rows = range(0, len(lattice.raw), 7)
    assert [lattice.row(pairing, lattice.recipe(row)) for row in rows] == [*rows]


@pytest.mark.parametrize(("inputs", "reach"), [(37, 2), (71, 2), (72, 3)])
def test_the_neighbourhood_reaches_to_the_settings_that_were_looked_at(
    pairing: Pairing, inputs: int, reach: int
) -> None:
    """A grind dial is looked at in at most 35 steps: up to 35, 70, 105 steps make one, two, three of each."""
    fine = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(0, inputs - 1)))
    near = neighbourhood(fine, Recipe(grind=20, dose_g=18, temp_c=93, ratio=2), {})
    assert sorted(set(near.raw[:, 0])) == [*range(20 - reach, 20 + reach + 1)]
    at_the_end = neighbourhood(fine, Recipe(grind=0, dose_g=18, temp_c=93, ratio=2), {})
    assert sorted(set(at_the_end.raw[:, 0])) == [*range(reach + 1)]


@pytest.mark.parametrize("dial", [Dial(0, 200, 0.5), Dial(0, 20), Dial(7, 7)], ids=["fine", "coarse", "fixed"])
def test_a_draw_lies_at_any_setting_that_its_row_stands_for(pairing: Pairing, dial: Dial) -> None:
    kit = replace(pairing, grinder=replace(pairing.grinder, grind=dial))
    lattice = candidates(kit, {})
    rows = np.repeat(lattice.raw, 40, axis=0)
    moved = on_the_dials(kit, rows, {}, np.random.default_rng(0))
    assert set(moved[:, 0]) == set(dial.settings()), "none is left out"
    assert set(np.round(moved[:, 1], 6)) == set(np.round(kit.basket.dose_g.settings(), 6))
    looked_at = np.unique(lattice.raw, axis=0)
    for column in range(4):
        inputs = np.unique(looked_at[:, column])
        nearest = np.min(np.abs(moved[:, column, None] - inputs), axis=1)
        assert np.abs(moved[:, column] - rows[:, column]) == pytest.approx(nearest), "its own row is the nearest"
