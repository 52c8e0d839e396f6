"""What is lost by somebody who knows all of a bag but its random surface.

Known are whatever lies below the surface, its size and its length scales, the palate's noise, and of every pull whether
the puck channelled. What is left to learn is a normal process with known hyperparameters, for which there are exact
formulas: the shots are chosen by the knowledge gradient, the best posterior mean is recommended. No method may look at
any of it. It shows how much of a regret is want of knowledge and how much comes of few noisy tastings.

python -m experiments.oracle --seed 21 --tasks 100 --out reports/study/oracle.csv
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from zlib import crc32

import numpy as np
import pandas as pd
from scipy.special import ndtri
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern

from dialopt import Recipe
from dialopt.trade.estimate import TOLERANCE
from experiments.trial import shot_rng, world_seed
from experiments.worlds.bench import Floats
from experiments.worlds.bumps import Rough, bumpy_ridge_parts, random_surface_parts
from experiments.worlds.world import fineness

ROUGH: dict[str, Callable[[int, np.random.Generator], Rough]] = {
    "bumpy_ridge": bumpy_ridge_parts,
    "random_surface": random_surface_parts,
}
SIDES = {"grind": 20, "dose_g": 7, "temp_c": 7}
"""The dials that these bags turn, and the most settings of each that tests are chosen among."""
_LEVELS = ndtri((np.arange(48) + 0.5) / 48)
"""A standard normal's values in the middles of equally likely shares."""
_ROUNDING = 0.5**2 / 12.0
"""Variance that rounding a score to halves adds."""


def parts(family: str, number: int) -> Rough:
    """Bag `number`, the one that `make` gives, with what it is made of."""
    return ROUGH[family](number, np.random.default_rng([crc32(family.encode()), number]))


def oracle_regrets(family: str, number: int, shots: int) -> list[float]:
    """Loss of the recommended recipe after 0 … `shots` pulls of bag `number`, points."""
    rough = parts(family, number)
    world = rough.world
    axes = {name: np.array(world.pairing.dials[name].settings()) for name in SIDES}
    everywhere = _rows([*axes.values()])
    tests = _rows([_thinned(axes[name], most) for name, most in SIDES.items()])
    box, even = _unit_cube(rough, everywhere)
    test_box, test_even = _unit_cube(rough, tests)
    kernel = ConstantKernel(rough.size**2) * Matern(rough.surface.lengths, nu=2.5)
    noise = world.taster.score_sd**2 + _ROUNDING
    learned = GaussianProcessRegressor(kernel, alpha=noise, optimizer=None)
    sound: list[int] = []
    gaps: list[float] = []
    losses = []
    for count in range(shots + 1):
        if sound:
            learned.fit(test_box[sound], np.array(gaps))
        best = int(np.argmax(np.clip(even + learned.predict(box), 0, 10)))
        losses.append(world.regret(_recipe(everywhere[best])))
        mean, covariance = learned.predict(test_box, return_cov=True)
        chosen = int(np.argmax(knowledge_gradient(test_even + mean, covariance, noise)))
        shot = world.pull(_recipe(tests[chosen]), shot_rng(family, world.seed, count))
        if shot.score is not None and not world.channels(shot_rng(family, world.seed, count)):
            sound.append(chosen)
            gaps.append(shot.score - test_even[chosen])
    return losses


def knowledge_gradient(mean: Floats, covariance: Floats, noise: float) -> Floats:
    """How far the best posterior mean is expected to rise by one look at each of n recipes, points, (n,).

    E max(μ + σ̃(x)·Z) − max μ with σ̃(x) = cov(·, x)/√(var(x) + noise) (Frazier, Powell & Dayanik 2009), averaged over
    48 values of the standard normal Z.
    """
    rise = covariance / np.sqrt(np.diag(covariance) + noise)[:, None]
    best = [np.max(mean + level * rise, axis=1) for level in _LEVELS]
    return np.asarray(np.mean(best, axis=0) - np.max(mean))


def oracle(tasks: int, seed: int, shots: int) -> pd.DataFrame:
    """A row for each rough family and number of shots: regret, its standard error and close_pct on a study's bags."""
    rows = []
    for family in ROUGH:
        losses = np.array([oracle_regrets(family, world_seed(seed, task), shots) for task in range(tasks)])
        for count, regret in enumerate(losses.T):
            row = {"family": family, "shots": count, "tasks": tasks, "regret": np.mean(regret)}
            error = np.std(regret, ddof=1) / np.sqrt(tasks)
            rows.append(row | {"error": error, "close_pct": 100 * np.mean(regret <= TOLERANCE)})
    return pd.DataFrame(rows).round(4)


def _thinned(axis: Floats, most: int) -> Floats:
    numbers = np.unique(np.linspace(0, len(axis) - 1, most).round().astype(int))
    return np.asarray(axis[numbers])


def _rows(axes: list[Floats]) -> Floats:
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, len(axes))


def _recipe(row: Floats) -> Recipe:
    grind, dose_g, temp_c = (float(value) for value in row)
    return Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c)


def _unit_cube(rough: Rough, rows: Floats) -> tuple[Floats, Floats]:
    """Coordinates of n recipes on which the surface's length scales hold, (n, 3), and their liking without it, (n,)."""
    fine = fineness(rough.world.pairing, rows[:, 0])
    box = np.stack([fine, *rough.surface.shares(rows[:, 1], rows[:, 2])], axis=1)
    return box, np.asarray(rough.even(fine, rows[:, 1], rows[:, 2]))


def main(arguments: Sequence[str] | None = None) -> int:
    """Writes the table."""
    parser = argparse.ArgumentParser(prog="python -m experiments.oracle", description="Regret of one who knows all.")
    parser.add_argument("--tasks", type=int, default=100, help="bags a family")
    parser.add_argument("--shots", type=int, default=12, help="shots a bag")
    parser.add_argument("--seed", type=int, default=1, help="the study's, for its bags")
    parser.add_argument("--out", type=Path, required=True, help="the table; in a study's folder its page shows it")
    options = parser.parse_args(arguments)
    table = oracle(options.tasks, options.seed, options.shots)
    table.to_csv(options.out, index=False)
    print(table.to_string(index=False))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
