from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import logsumexp

from dialopt import Pairing, Recipe, Shot
from dialopt.model.config import MODEL
from dialopt.model.discrepancy import LENGTHS, matern52
from dialopt.model.initial import BREADTH, BROAD_SHARE, usual_initial
from dialopt.model.likelihood import Tastings, shot_terms
from dialopt.model.normal import log_joint_normal
from dialopt.model.observations import Observations, inputs, observe
from dialopt.model.parametric import sample_parametric
from dialopt.model.priors import NAMES, PEAK, PRIORS
from tests.model.generate import generate, some_settings


def empty(observations: Observations) -> Observations:
    nothing = np.full(len(observations.score), np.nan)
    return replace(observations, log_time=nothing, score=nothing, balance=nothing, extraction=nothing)


def test_no_data_leaves_the_prior(pairing: Pairing) -> None:
    _, _, observations = generate(some_settings(pairing, 3, np.random.default_rng(0)), np.random.default_rng(0))
    draws = sample_parametric(empty(observations), usual_initial(), np.random.default_rng(1), 2000)
    assert draws.coordinates.mean(axis=0) == pytest.approx(np.zeros(len(NAMES)), abs=0.1)
    spread = np.sqrt(1 - BROAD_SHARE + BROAD_SHARE * BREADTH**2)
    assert draws.coordinates.std(axis=0) == pytest.approx(np.full(len(NAMES), spread), abs=0.1)
    assert draws.log_evidence == 0.0
    assert draws.peak.mean() == pytest.approx(PEAK.centre, abs=0.1)


def test_same_seed_same_draws(pairing: Pairing) -> None:
    _, _, observations = generate(some_settings(pairing, 5, np.random.default_rng(0)), np.random.default_rng(0))
    one, other = (sample_parametric(observations, usual_initial(), np.random.default_rng(7), 128) for _ in range(2))
    assert np.array_equal(one.coordinates, other.coordinates)
    assert np.array_equal(one.weights, other.weights)


def exhaustive(observations: Observations, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Log likelihood with and without the scores, every hidden state summed out one by one: 2ⁿ terms."""
    parameters = PRIORS.unpack(points)
    terms = shot_terms(parameters, observations, MODEL.outlier_share)
    tastings = Tastings(observations)
    level = tastings.level(terms)
    parts = []
    for hidden in itertools.product((False, True), repeat=len(observations.score)):
        states = np.broadcast_to(np.array(hidden), terms.sound.shape)
        gap, covariance = tastings.gap_and_covariance(parameters, level, states, np.empty((len(points), 0)))
        together = np.where(states, terms.outlier, terms.sound).sum(axis=1)
        parts.append(together + log_joint_normal(gap, covariance))
    return logsumexp(parts, axis=0), terms.summed


def test_the_covariance_of_scores_is_peak_residual_and_noise(pairing: Pairing) -> None:
    _, _, observations = generate(some_settings(pairing, 3, np.random.default_rng(0)), np.random.default_rng(0))
    parameters = PRIORS.unpack(np.zeros((1, len(NAMES))))
    tastings = Tastings(observations)
    outlier = np.array([[False, True, False]])
    level = tastings.level(shot_terms(parameters, observations, MODEL.outlier_share))
    gap, covariance = tastings.gap_and_covariance(parameters, level, outlier, np.empty((1, 0)))
    expected = 1.0 + 0.25**2 * matern52(observations.at.cube, observations.at.cube, LENGTHS)
    expected += np.diag(1.0**2 + 0.25 / 12 + np.array([0.0, 1.2**2, 0.0]))
    assert covariance[0] == pytest.approx(expected, abs=0.02)
    assert gap[0] == pytest.approx(observations.score - level[0] + 1.8 * outlier[0])


def test_notes_count_where_no_score_was_given(pairing: Pairing) -> None:
    """Cups noted as sour at every grind so far lie farther short of the best cup than silent ones."""
    here = inputs(pairing, [Recipe(grind=26, dose_g=18, temp_c=93)])
    short = []
    for balance in (-2, None):
        recipes = [Recipe(grind=grind, dose_g=18, temp_c=93) for grind in (30, 28, 26, 24)]
        observations = observe(pairing, [Shot(recipe=recipe, time_s=20, balance=balance) for recipe in recipes])
        draws = sample_parametric(observations, usual_initial(), np.random.default_rng(2), 1024)
        short.append(float(draws.index(here, draws.median_log_time(here)).mean()))
    assert short[0] < short[1] - 0.1


@pytest.mark.slow
def test_against_plain_importance_sampling(pairing: Pairing) -> None:
    """Three tastings without a clock, where 200,000 prior draws weighed one by one are an independent answer.

    With a cloud of 4096 points: the fewer, the later they find narrow corners, so that with 1024 of them the mean of
    `taster_sd` lies 0.10 of its prior's deviations high.
    """
    rows = ((22, 18, 93, 6.5, -1), (15, 18.5, 91, 5.0, 1), (19, 17.5, 94, 7.0, 0))
    observations = observe(
        pairing,
        [Shot(recipe=Recipe(grind=g, dose_g=d, temp_c=t), score=s, balance=b) for g, d, t, s, b in rows],
    )
    points = usual_initial().draw(200_000, np.random.default_rng(0))
    together, notes_only = exhaustive(observations, points)
    weight = np.exp(together - together.max())
    weight /= weight.sum()
    assert 1 / np.sum(weight**2) > 2000, "the reference itself must be sound"
    mean = weight @ points
    sd = np.sqrt(weight @ (points - mean) ** 2)
    log_evidence = logsumexp(together) - logsumexp(notes_only)

    runs = [sample_parametric(observations, usual_initial(), np.random.default_rng(seed), 4096) for seed in range(8)]
    assert np.mean([run.coordinates.mean(axis=0) for run in runs], axis=0) == pytest.approx(mean, abs=0.08)
    assert np.mean([run.coordinates.std(axis=0) for run in runs], axis=0) == pytest.approx(sd, abs=0.07)
    assert np.mean([run.log_evidence for run in runs]) == pytest.approx(log_evidence, abs=0.05)
