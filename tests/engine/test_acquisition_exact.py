"""The look-ahead by reweighting against nested Monte Carlo with exact updates, where all is linear and normal.

Four cups have a joint normal prior; a pull shows one cup's liking with noise and a shot time, which in the second case
is a linear function of all four. Given the outcome the posterior is normal: its mean is linear in two standard normal
numbers, its covariance known beforehand (the correlated knowledge gradient, Frazier, Powell & Dayanik 2009: memory).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm, qmc

from dialopt.engine.acquisition import knowledge_gradient
from dialopt.model.config import MODEL
from tests.engine.outcomes import outcome_model

MEAN = np.array([6.0, 6.3, 5.8, 6.1])
_PLACE = np.array([0.0, 0.3, 0.6, 1.0])
COVARIANCE = 1.44 * np.exp(-0.5 * ((_PLACE[:, None] - _PLACE) / 0.4) ** 2) + 0.01 * np.eye(4)
TIME_SD = 0.1
NO_TIME = np.zeros((4, 4))
TELLING_TIME = np.array([(0.05, 0, -0.1, 0), (0.1, -0.1, 0, 0), (0, 0, 0.1, 0.1), (0, 0.02, 0, 0.05)])
"""Log time at each recipe, for a point of each cup's liking."""


def normals(count: int, size: int, seed: int) -> np.ndarray:
    return np.asarray(norm.ppf(qmc.Sobol(size, rng=seed).random(count)))


def exact_gradient(recipe: int, score_sd: float, log_time: np.ndarray, mean: np.ndarray = MEAN) -> float:
    """How much the best mean rises by one pull, by conjugate updates of 512 outcomes."""
    shows = np.stack([np.eye(4)[recipe], log_time[recipe]])
    outcome = shows @ COVARIANCE @ shows.T + np.diag([score_sd**2, TIME_SD**2])
    line = np.linalg.solve(np.linalg.cholesky(outcome), shows @ COVARIANCE)
    after = mean + normals(512, 2, seed=2) @ line
    return float(after.max(axis=1).mean() - mean.max())


def reweighed_gradient(score_sd: float, log_time: np.ndarray, seed: int) -> np.ndarray:
    rng = np.random.default_rng([8, seed])
    cups = MEAN + rng.standard_normal((MODEL.draws, 4)) @ np.linalg.cholesky(COVARIANCE).T
    shown = outcome_model(cups, score_sd, log_time=cups @ log_time.T, time_sd=TIME_SD)
    return knowledge_gradient(shown, cups, rng)


@pytest.mark.parametrize("log_time", [NO_TIME, TELLING_TIME], ids=["score alone", "score and shot time"])
@pytest.mark.parametrize("score_sd", [0.3, 0.7, 3.0])
def test_reweighting_agrees_with_exact_updates(score_sd: float, log_time: np.ndarray) -> None:
    """With as many draws as shipped: right on average within 0.02 points, and a single look 0.06 off (rms)."""
    exact = np.array([exact_gradient(recipe, score_sd, log_time) for recipe in range(4)])
    looks = np.array([reweighed_gradient(score_sd, log_time, seed) for seed in range(60)])
    assert looks.mean(axis=0) == pytest.approx(exact, abs=0.02)
    assert np.sqrt(np.mean((looks - exact) ** 2)) < 0.06


def test_the_exact_gradient_agrees_with_its_closed_form() -> None:
    """Two cups in the running, the others hopeless: s·φ(d/s) − d·Φ(−d/s), s the spread of the change of their gap d."""
    score_sd = 0.7
    gained = COVARIANCE[0] / np.sqrt(COVARIANCE[0, 0] + score_sd**2)
    gap, spread = 0.2, abs(gained[0] - gained[1])
    expected = spread * norm.pdf(gap / spread) - gap * norm.cdf(-gap / spread)
    gradient = exact_gradient(0, score_sd, NO_TIME, np.array([6.2, 6.0, -50.0, -50.0]))
    assert gradient == pytest.approx(expected, abs=2e-3)
