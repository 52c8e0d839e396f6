from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot
from dialopt.model.gaussian_process import GRID, USUAL_SCORE, GaussianProcess, kernel_of
from dialopt.model.likelihood import OUTLIER_SCORE
from dialopt.model.observations import inputs
from tests.model.known_functions import sound_process
from tests.model.test_normal import PROCESS_X, PROCESS_Y


@pytest.fixture
def process_pairing() -> Pairing:
    """Time and temperature of the chemical process in coded units, on the grind and temperature dials."""
    return Pairing(
        bean=Bean(name="no bean"),
        grinder=Grinder(name="coded time", grind=Dial(-2, 2, 0.05), finer="up"),
        machine=Machine(name="coded temperature", temp_c=Dial(88, 98, 0.1)),
        basket=Basket(dose_g=Dial(18, 18)),
    )


def process_recipes(coded: np.ndarray) -> list[Recipe]:
    return [Recipe(grind=float(a), dose_g=18, temp_c=float(93 + 2.5 * b)) for a, b in coded]


def process_scores() -> np.ndarray:
    """Yields of 75–81 spread over the scale of liking."""
    return (PROCESS_Y - 74.0) * 1.5


def test_the_published_optimum_is_found_with_its_curvature(process_pairing: Pairing) -> None:
    """Stationary point (0.389, 0.306), both eigenvalues below 0: Montgomery (read), recomputed by least squares."""
    at = inputs(process_pairing, process_recipes(PROCESS_X))
    draws = sound_process(at, process_scores()).draw(2000, np.random.default_rng(1))
    axis = np.linspace(-1.4, 1.4, 29)
    grid = np.stack(np.meshgrid(axis, axis, indexing="ij"), axis=-1).reshape(-1, 2)
    surface = draws.liking(inputs(process_pairing, process_recipes(grid))).mean(axis=0)
    best = grid[np.argmax(surface)]
    assert np.hypot(*(best - (0.389, 0.306))) < 0.35

    step = 0.7
    around = step * np.array([(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1)])
    at = draws.liking(inputs(process_pairing, process_recipes(best + around))).mean(axis=0).reshape(3, 3)
    second = np.empty((2, 2))
    second[0, 0] = at[2, 1] + at[0, 1] - 2 * at[1, 1]
    second[1, 1] = at[1, 2] + at[1, 0] - 2 * at[1, 1]
    second[0, 1] = second[1, 0] = (at[2, 2] - at[2, 0] - at[0, 2] + at[0, 0]) / 4
    assert np.all(np.linalg.eigvalsh(second) < 0)


def test_evidence_is_the_average_over_the_hyperparameters(pairing: Pairing, shots: list[Shot]) -> None:
    at = inputs(pairing, [shot.recipe for shot in shots])
    score = np.array([shot.score for shot in shots])
    outlier = np.array([0, 0, 0.2, 0, 0, 0.5])
    process = GaussianProcess(at, score, outlier=outlier)

    # An outlier has the mixture's mean and variance.
    shift, spread = OUTLIER_SCORE
    mean = USUAL_SCORE + shift * outlier
    extra = np.diag(1e-6 + spread**2 * outlier + shift**2 * outlier * (1 - outlier))
    densities = np.exp(
        [multivariate_normal(mean=mean, cov=kernel_of(it)(at.cube[:, :3]) + extra).logpdf(score) for it in GRID]
    )
    # Each surface is as likely as another before any score, and so is each set that has it.
    surfaces = Counter(it.surface_sd for it in GRID)
    weight = np.array([1 / len(surfaces) / surfaces[it.surface_sd] for it in GRID])
    assert weight.sum() == pytest.approx(1.0)
    assert process.log_evidence == pytest.approx(np.log(weight @ densities), abs=1e-6)
    assert process.share == pytest.approx(weight * densities / (weight @ densities), abs=1e-6)


def test_draws_have_the_moments_of_the_process(pairing: Pairing, shots: list[Shot]) -> None:
    at = inputs(pairing, [shot.recipe for shot in shots])
    score = np.array([shot.score for shot in shots])
    process = sound_process(at, score)
    new = inputs(pairing, [Recipe(grind=g, dose_g=18.4, temp_c=94) for g in (10, 17, 30)])
    draws = process.draw(6000, np.random.default_rng(0)).liking(new)
    mean, second = np.zeros(3), np.zeros(3)
    for hyperparameters, share in zip(GRID, process.share, strict=True):
        at_new, sd = process._fitted(hyperparameters).predict(new.cube[:, :3], return_std=True)
        variance = sd**2 - hyperparameters.noise_sd**2
        mean += share * at_new
        second += share * (variance + at_new**2)
    # Random features make the prior's tails a little off; the pull of the shots is exact.
    assert draws.mean(axis=0) == pytest.approx(USUAL_SCORE + mean, abs=0.12)
    assert draws.std(axis=0) == pytest.approx(np.sqrt(second - mean**2), rel=0.12)


def test_fixed_dials_are_left_out(process_pairing: Pairing) -> None:
    at = inputs(process_pairing, process_recipes(PROCESS_X))
    draws = sound_process(at, process_scores()).draw(3, np.random.default_rng(0))
    assert {made.frequencies.shape[0] for made in draws.features.values()} == {2}
    assert draws.liking(at).shape == (3, 13)
