from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import gaussian_kde, multivariate_normal

from dialopt.engine.region import Region

SPACING = np.array([0.02, 0.02, 0.02])


@pytest.fixture
def draws() -> np.ndarray:
    rng = np.random.default_rng(0)
    ridge = rng.normal(0.5, 0.12, 2000)
    return np.stack([ridge, 0.5 + 0.8 * (ridge - 0.5) + rng.normal(0, 0.05, 2000), rng.uniform(size=2000)], axis=1)


@pytest.mark.parametrize("level", [0.5, 0.8, 0.9])
def test_the_region_holds_its_share_of_fresh_draws(draws: np.ndarray, level: float) -> None:
    region = Region(draws[:1000], SPACING)
    assert region.contains(draws[1000:], level).mean() == pytest.approx(level, abs=0.06)


def test_regions_are_nested_and_follow_the_ridge(draws: np.ndarray) -> None:
    region = Region(draws, SPACING)
    grid = np.random.default_rng(1).uniform(size=(3000, 3))
    inner, outer = region.contains(grid, 0.5), region.contains(grid, 0.9)
    assert not np.any(inner & ~outer)
    assert inner.mean() < outer.mean() < 0.5
    along, across = np.array([[0.65, 0.62, 0.5]]), np.array([[0.65, 0.38, 0.5]])
    assert region.contains(along, 0.9)[0]
    assert not region.contains(across, 0.9)[0]


def test_the_density_is_scipys_kernel_estimate_widened_by_the_grain(draws: np.ndarray) -> None:
    """Silverman's factor, as scipy has it; half a spacing and 0.02 of a dial are added to the kernel's spread."""
    best, spacing = np.round(draws[:300], 2), np.array([0.3, 0.1, 0.02])
    kernel = gaussian_kde(best.T, "silverman").covariance + np.diag((spacing / 2) ** 2 + 0.02**2)
    at = draws[300:340]
    expected = np.mean([multivariate_normal(spot, kernel).pdf(at) for spot in best], axis=0)
    found = Region(best, spacing).density(at)
    assert found / found[0] == pytest.approx(expected / expected[0], rel=1e-6)


def test_a_single_spot_is_a_region_too() -> None:
    region = Region(np.full((100, 3), 0.5), SPACING)
    assert region.contains(np.array([[0.5, 0.5, 0.5]]), 0.5)[0]
    assert not region.contains(np.array([[0.9, 0.5, 0.5]]), 0.99)[0]


def test_a_level_that_one_spot_reaches_takes_in_no_other() -> None:
    spots = np.repeat([[0.2, 0.5, 0.5], [0.8, 0.5, 0.5]], [60, 40], axis=0)
    region = Region(spots, SPACING)
    assert region.contains(spots[[0, -1]], 0.6).tolist() == [True, False]
    assert region.contains(spots[[0, -1]], 0.61).tolist() == [True, True]
