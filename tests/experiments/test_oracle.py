from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.stats import norm

from experiments.oracle import ROUGH, knowledge_gradient, main, oracle_regrets, parts
from experiments.trial import world_seed
from experiments.worlds import make
from experiments.worlds.bumps import bumpy_ridge_parts
from experiments.worlds.world import fineness

pytestmark = pytest.mark.slow


def test_a_world_is_what_its_parts_add_up_to() -> None:
    rough = bumpy_ridge_parts(3, np.random.default_rng(3))
    world = rough.world
    axes = [np.array(dial.settings()) for dial in world.pairing.dials.values()]
    grind, dose_g, temp_c, _ = np.meshgrid(*axes, indexing="ij", sparse=True)
    fine = fineness(world.pairing, grind)
    whole = rough.even(fine, dose_g, temp_c) + rough.size * rough.surface(fine, dose_g, temp_c)
    assert np.clip(whole, 0, 10) == pytest.approx(world.liking_grid())
    assert np.ptp(whole - rough.even(fine, dose_g, temp_c)) > rough.size


@pytest.mark.parametrize("family", ROUGH)
def test_it_knows_the_bags_that_the_study_has(family: str) -> None:
    studied, known = make(family, world_seed(2, 1)), parts(family, world_seed(2, 1)).world
    assert known.pairing == studied.pairing
    assert known.taster == studied.taster
    assert np.array_equal(known.liking_grid(), studied.liking_grid())


def test_the_gain_from_one_look_at_two_recipes_is_the_known_one() -> None:
    mean, sd, noise = np.array([1.0, 1.3]), 0.8, 0.5
    gained = knowledge_gradient(mean, np.diag([sd**2, 0.0]), noise)
    rise = sd**2 / np.sqrt(sd**2 + noise)
    z = (mean[0] - mean[1]) / rise
    assert gained[0] == pytest.approx(rise * norm.pdf(z) + (mean[0] - mean[1]) * norm.cdf(z), rel=0.02)
    assert gained[1] == pytest.approx(0.0, abs=1e-12)


def test_tastings_teach_it_the_surface() -> None:
    losses = np.array([oracle_regrets("random_surface", world_seed(5, task), shots=11) for task in range(6)])
    assert losses[:, 10:].mean() < 0.7 * losses[:, :2].mean()


def test_the_table_has_a_row_for_each_family_and_number_of_shots(tmp_path: Path) -> None:
    out = tmp_path / "oracle.csv"
    assert main(["--tasks", "2", "--shots", "2", "--seed", "4", "--out", str(out)]) == 0
    table = pd.read_csv(out)
    assert list(table["family"].unique()) == list(ROUGH)
    assert list(table["shots"]) == [0, 1, 2] * len(ROUGH)
    mean = np.mean([oracle_regrets("bumpy_ridge", world_seed(4, task), 2)[2] for task in range(2)])
    assert table["regret"][2] == pytest.approx(mean, abs=1e-4)
