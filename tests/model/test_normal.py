"""Gaussian-process arithmetic against vectors computed with numpy and scikit-learn, which agree with each other.

Formulas: Rasmussen & Williams 2006, algorithm 2.1 and equation 4.17.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import multivariate_normal
from skopt.learning.gaussian_process.kernels import RBF, ConstantKernel, Matern

from dialopt import Dial, Pairing
from dialopt.model.discrepancy import LENGTHS, basis, matern52
from dialopt.model.gaussian_process import unfitted
from dialopt.model.normal import correction, log_joint_normal, log_normal, log_sum
from dialopt.model.observations import Inputs, inputs_from_array

X = np.array([[0.0], [1.0], [2.5]])
Y = np.array([0.0, 1.0, -0.5])
NEW = np.array([[1.5], [4.0]])
MEAN, SD, LOG_EVIDENCE = (0.673041, -0.215623), (0.456962, 0.957827), -3.62836

# Chemical process, central composite design: Montgomery, Design and Analysis of Experiments (read).
PROCESS_X = np.array(
    [
        *[(-1, -1), (-1, 1), (1, -1), (1, 1), (0, 0), (0, 0), (0, 0), (0, 0), (0, 0)],
        *[(1.414, 0), (-1.414, 0), (0, 1.414), (0, -1.414)],
    ]
)
PROCESS_Y = np.array([76.5, 77.0, 78.0, 79.5, 79.9, 80.3, 80.0, 79.7, 79.8, 78.4, 75.6, 78.5, 77.0])
PROCESS_NEW = np.array([(0.389, 0.306), (0.0, 0.0), (2.0, 2.0)])
PROCESS_MEAN, PROCESS_SD = (80.1725, 79.8991, 78.5561), (0.2937, 0.1021, 1.3402)
PROCESS_LOG_EVIDENCE = -17.07074

CASES = [
    (X, Y, NEW, 0.0, 1.0, np.array([1.0]), 0.01, MEAN, SD, LOG_EVIDENCE),
    (
        *(PROCESS_X, PROCESS_Y, PROCESS_NEW, PROCESS_Y.mean(), 4.0, np.array([2.0, 2.0]), 0.053),
        *(PROCESS_MEAN, PROCESS_SD, PROCESS_LOG_EVIDENCE),
    ),
]
case = pytest.mark.parametrize(
    ("x", "y", "new", "level", "variance", "lengths", "noise", "mean", "sd", "log_evidence"), CASES
)


@case
def test_own_evidence(x, y, new, level, variance, lengths, noise, mean, sd, log_evidence) -> None:  # type: ignore[no-untyped-def]
    covariance = variance * matern52(x, x, lengths) + noise * np.eye(len(x))
    density = log_joint_normal((y - level)[None], covariance[None])
    assert density == pytest.approx([log_evidence], abs=2e-5)
    assert density == pytest.approx([multivariate_normal(cov=covariance).logpdf(y - level)])


@case
def test_own_posterior_draws(x, y, new, level, variance, lengths, noise, mean, sd, log_evidence) -> None:  # type: ignore[no-untyped-def]
    rng = np.random.default_rng(4)
    both = np.concatenate([x, new])
    kernel = variance * matern52(both, both, lengths)
    prior = rng.standard_normal((60_000, len(both))) @ np.linalg.cholesky(kernel + 1e-10 * np.eye(len(both))).T
    covariance = kernel[: len(x), : len(x)] + noise * np.eye(len(x))
    fantasies = prior[:, : len(x)] + np.sqrt(noise) * rng.standard_normal((len(prior), len(x)))
    pull = correction((y - level) - fantasies, np.broadcast_to(covariance, (len(prior), *covariance.shape)))
    draws = level + prior[:, len(x) :] + pull @ kernel[: len(x), len(x) :]
    assert draws.mean(axis=0) == pytest.approx(mean, abs=0.02)
    assert draws.std(axis=0) == pytest.approx(sd, rel=0.02)


@case
def test_scikit_optimize_process_kept_fixed(  # type: ignore[no-untyped-def]
    x, y, new, level, variance, lengths, noise, mean, sd, log_evidence
) -> None:
    kernel = ConstantKernel(variance) * Matern(lengths, nu=2.5)
    process = unfitted(kernel, np.full(len(x), noise)).fit(x, y - level)
    got_mean, got_sd = process.predict(new, return_std=True)
    assert got_mean + level == pytest.approx(mean, abs=2e-4)
    assert got_sd == pytest.approx(sd, abs=2e-4)
    assert process.log_marginal_likelihood(process.kernel_.theta) == pytest.approx(log_evidence, abs=2e-5)
    assert process.kernel_.theta == pytest.approx(kernel.theta), "hyperparameters must not be fitted"


def test_squared_exponential_vectors_through_the_same_process() -> None:
    process = unfitted(ConstantKernel(1.0) * RBF(1.0), np.full(len(X), 0.01)).fit(X, Y)
    mean, sd = process.predict(NEW, return_std=True)
    assert mean == pytest.approx((0.760925, -0.336331), abs=2e-5)
    assert sd == pytest.approx((0.277199, 0.939389), abs=2e-5)
    assert process.log_marginal_likelihood(process.kernel_.theta) == pytest.approx(-3.77950, abs=2e-5)


def test_log_normal_is_the_normal_density() -> None:
    assert log_normal(np.array([0.3]), np.array([0.7])) == pytest.approx(multivariate_normal(cov=0.49).logpdf(0.3))


@pytest.mark.parametrize(("ratio", "most", "usual"), [(2.0, 0.15, 0.02), (Dial(1.5, 3, 0.1), 0.15, 0.02)])
def test_the_basis_is_the_process_near_its_lattice(
    pairing: Pairing, ratio: float | Dial, most: float, usual: float
) -> None:
    at = anywhere(replace(pairing, ratio=ratio))
    features = basis(at)
    exact = matern52(at.cube, at.cube, LENGTHS)
    assert np.abs(features @ features.T - exact).max() < most
    assert np.abs(features @ features.T - exact).mean() < usual
    assert np.sum(features**2, axis=1).max() < 1 + 1e-6, "it may lose of the process but adds nothing"
    sides = [np.linspace(0, 1, 6), [0, 0.5, 1], [0, 0.5, 1], [0, 0.5, 1] if at.turned[3] else [0.5]]
    cube = np.stack([side.ravel() for side in np.meshgrid(*sides)], axis=1)
    on = basis(replace(at, cube=cube))
    assert on @ on.T == pytest.approx(matern52(cube, cube, LENGTHS), abs=1e-6), "on the lattice it is the process"


def test_a_fixed_dial_takes_no_part_in_the_basis(pairing: Pairing) -> None:
    at = anywhere(pairing)
    pulled_longer = inputs_from_array(pairing, at.raw + np.array([0, 0, 0, 0.7]))
    assert np.array_equal(basis(pulled_longer), basis(at))
    fewer = anywhere(replace(pairing, machine=replace(pairing.machine, temp_c=Dial(93, 93))))
    assert basis(at).shape == (60, 6 * 3 * 3)
    assert basis(fewer).shape == (60, 6 * 3)


def anywhere(pairing: Pairing) -> Inputs:
    """Sixty settings between the ends of the dials."""
    dials, rng = pairing.dials.values(), np.random.default_rng(0)
    return inputs_from_array(pairing, np.stack([rng.uniform(dial.low, dial.high, 60) for dial in dials], axis=1))


def test_a_sum_of_logs_is_that_of_numpy() -> None:
    one, other = np.random.default_rng(0).normal(-300, 200, (2, 40, 7))
    assert log_sum(one, other) == pytest.approx(np.logaddexp(one, other), rel=1e-15)
    assert log_sum(one, one[:, :1])[:, 0] == pytest.approx(one[:, 0] + np.log(2), rel=1e-15)
