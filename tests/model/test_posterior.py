from __future__ import annotations

import numpy as np
import pytest
from scipy.special import logsumexp
from scipy.stats import kstest, multivariate_normal

from dialopt import Pairing
from dialopt.model.likelihood import SPOILED_SCORE, Tastings, noise_variance, shot_terms
from dialopt.model.posterior import sample_trade
from dialopt.model.priors import NAMES, PEAK, unpack
from dialopt.model.start import broad_start
from dialopt.model.table import Table
from tests.model.generate import generate, some_settings


def empty(table: Table) -> Table:
    nothing = np.full(len(table.score), np.nan)
    return Table(at=table.at, log_time=nothing, score=nothing, balance=nothing, extraction=nothing, choked=table.choked)


def test_no_data_leaves_the_prior(pairing: Pairing) -> None:
    _, _, table = generate(some_settings(pairing, 3, np.random.default_rng(0)), np.random.default_rng(0))
    draws = sample_trade(empty(table), broad_start(), np.random.default_rng(1), 2000)
    assert draws.coordinates.mean(axis=0) == pytest.approx(np.zeros(len(NAMES)), abs=0.1)
    assert draws.coordinates.std(axis=0) == pytest.approx(np.ones(len(NAMES)), abs=0.1)
    assert draws.log_evidence == 0.0
    assert draws.peak.mean() == pytest.approx(PEAK.centre, abs=0.1)


def test_same_seed_same_draws(pairing: Pairing) -> None:
    _, _, table = generate(some_settings(pairing, 5, np.random.default_rng(0)), np.random.default_rng(0))
    one, other = (sample_trade(table, broad_start(), np.random.default_rng(7), 128) for _ in range(2))
    assert np.array_equal(one.coordinates, other.coordinates)
    assert np.array_equal(one.weights, other.weights)


def exhaustive(table: Table, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Log likelihood with and without the scores, every hidden state summed out one by one: 2ⁿ terms."""
    curve = unpack(points)
    terms = shot_terms(curve, table)
    tastings = Tastings(table)
    level = tastings.level(terms)
    count = len(table.score)
    parts = []
    for code in range(2**count):
        hidden = np.array([(code >> number) & 1 for number in range(count)], dtype=bool)
        states = np.broadcast_to(hidden, (len(points), count))
        part = np.where(states, terms.spoiled, terms.sound).sum(axis=1)
        gap = table.score - level - SPOILED_SCORE[0] * states
        for row in range(len(points)):
            covariance = PEAK.spread**2 + curve["residual_sd"][row, 0] ** 2 * tastings.kernel
            noise = noise_variance(curve, states)[row]
            part[row] += multivariate_normal(cov=covariance + np.diag(noise)).logpdf(gap[row])
        parts.append(part)
    return logsumexp(parts, axis=0), terms.summed


@pytest.mark.slow
def test_against_plain_importance_sampling(pairing: Pairing) -> None:
    """Two shots, where 40,000 prior draws weighed by the exhaustive likelihood are an independent answer."""
    at = some_settings(pairing, 2, np.random.default_rng(3))
    _, _, table = generate(at, np.random.default_rng(5))
    points = np.random.default_rng(0).standard_normal((40_000, len(NAMES)))
    together, clock_only = exhaustive(table, points)
    weight = np.exp(together - together.max())
    weight /= weight.sum()
    assert 1 / np.sum(weight**2) > 300, "the reference itself must be sound"
    mean = weight @ points
    sd = np.sqrt(weight @ (points - mean) ** 2)
    log_evidence = logsumexp(together) - logsumexp(clock_only)

    runs = [sample_trade(table, broad_start(), np.random.default_rng(seed), 1024) for seed in range(6)]
    got = np.mean([run.coordinates.mean(axis=0) for run in runs], axis=0)
    got_sd = np.mean([run.coordinates.std(axis=0) for run in runs], axis=0)
    assert got == pytest.approx(mean, abs=0.17)
    assert got_sd == pytest.approx(sd, abs=0.15)
    assert np.mean([run.log_evidence for run in runs]) == pytest.approx(log_evidence, abs=0.12)


@pytest.mark.slow
def test_simulation_based_calibration(pairing: Pairing) -> None:
    """Ranks of the truth among the draws are uniform (Talts et al. 2018) when truth and data come from the prior."""
    ranks = []
    for replicate in range(150):
        rng = np.random.default_rng([11, replicate])
        at = some_settings(pairing, 8, rng)
        truth, liking, table = generate(at, rng)
        draws = sample_trade(table, broad_start(), rng, 256)
        spoken = draws.liking(at)
        in_coordinates = (draws.coordinates < truth).mean(axis=0)
        ranks.append([*in_coordinates, (spoken[:, 0] < liking[0]).mean(), (spoken.mean(axis=1) < liking.mean()).mean()])
    p_values = [kstest(column, "uniform").pvalue for column in np.array(ranks).T]
    # 26 tests at once: the least p-value of sound ones lies above this 99 times in 100.
    assert min(p_values) > 0.01 / len(p_values), dict(zip([*NAMES, "liking", "mean liking"], p_values, strict=True))
