from __future__ import annotations

from dataclasses import replace

import pytest

from dialopt import Dial, Pairing, Recipe
from dialopt.decisions.candidates import candidates, neighbourhood


def test_every_row_is_nearest_to_its_own_recipe(pairing: Pairing) -> None:
    lattice = candidates(pairing)
    rows = range(0, len(lattice.raw), 7)
    assert [lattice.row(pairing, lattice.recipe(row)) for row in rows] == [*rows]


@pytest.mark.parametrize(("settings", "reach"), [(37, 2), (71, 2), (72, 3)])
def test_the_neighbourhood_reaches_to_the_settings_that_were_looked_at(
    pairing: Pairing, settings: int, reach: int
) -> None:
    """A grind dial is looked at in at most 35 steps: up to 35, 70, 105 steps make one, two, three of each."""
    fine = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(0, settings - 1)))
    near = neighbourhood(fine, Recipe(grind=20, dose_g=18, temp_c=93))
    assert sorted(set(near.raw[:, 0])) == [*range(20 - reach, 20 + reach + 1)]
    at_the_end = neighbourhood(fine, Recipe(grind=0, dose_g=18, temp_c=93))
    assert sorted(set(at_the_end.raw[:, 0])) == [*range(reach + 1)]
