"""Where everything is normal the posterior is known exactly: peak and residual, with the trade's curve held.

The curve and the kernel are computed here another way: the curve one recipe at a time, the kernel by scikit-learn's
Matérn through the lattice (Rasmussen & Williams 2006, sections 2.2 and 8.3.1).
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
import pytest
from scipy.special import logsumexp
from scipy.stats import multivariate_normal
from sklearn.gaussian_process.kernels import Matern

from dialopt import Pairing, Recipe, Shot
from dialopt.model.config import MODEL
from dialopt.model.initial import InitialDistribution
from dialopt.model.likelihood import OUTLIER_SCORE, Tastings, shot_terms
from dialopt.model.observations import Inputs, Observations, inputs, observe
from dialopt.model.parametric import _complete, sample_parametric
from dialopt.model.priors import NAMES, PEAK, PRIORS
from dialopt.model.smc import Particles

HELD = 0.6 * np.sin(np.arange(len(NAMES)) + 1.0)
"""Coordinates of one curve, none of them nought."""
LENGTHS = (0.3, 0.6, 0.6)
ROWS = ((24, 18.0, 93, 7.5), (19, 18.5, 92, 7.0), (19, 18.5, 92, 6.0), (15, 17.2, 94, 4.0), (10, 19.0, 90, 4.0))
NEW = ((22, 18.0, 93), (17, 18.0, 93), (12, 18.0, 95), (36, 17.0, 89))


def natural() -> dict[str, float]:
    raw = {
        name: prior.centre if not prior.positive else math.log(prior.centre) for name, prior in PRIORS._asdict().items()
    }
    raw = {name: raw[name] + getattr(PRIORS, name).spread * at for name, at in zip(NAMES, HELD, strict=True)}
    return {name: math.exp(value) if getattr(PRIORS, name).positive else value for name, value in raw.items()}


def level_at(at: Inputs) -> np.ndarray:
    """Liking at the usual peak without residual, (n,)."""
    c = natural()
    level = []
    for fine, dose, temp in zip(at.fine, at.dose, at.temp, strict=True):
        log_time = (
            math.log(28) + c["time_grind"] * (fine - c["time_place"]) + c["time_dose"] * dose + c["time_temp"] * temp
        )
        z = log_time - c["time_best"] + c["pull_temp"] * temp + c["pull_dose"] * dose
        slope = c["under_slope"] if z < 0 else c["over_slope"]
        lost = slope * (math.hypot(c["rounding"], z) - c["rounding"])
        lost += c["temp_curve"] * (temp - c["temp_best"]) ** 2 + c["dose_curve"] * (dose - c["dose_best"]) ** 2
        level.append(PEAK.centre - lost)
    return np.array(level)


def liking_covariance(cube: np.ndarray) -> np.ndarray:
    """Peak and residual together, before any score, (n, n)."""
    sides = [np.linspace(0, 1, count) for count in (6, 3, 3)]
    lattice = np.array(list(itertools.product(*sides)))
    kernel = Matern(LENGTHS, nu=2.5)
    through = kernel(cube, lattice)
    discrepancy = through @ np.linalg.solve(kernel(lattice) + 1e-8 * np.eye(len(lattice)), through.T)
    return np.asarray(PEAK.spread**2 + natural()["discrepancy_sd"] ** 2 * discrepancy)


@dataclass(frozen=True, slots=True, kw_only=True)
class Exact:
    """Normal belief about the liking at new settings, and the log density of the scores that led to it."""

    mean: np.ndarray
    covariance: np.ndarray
    log_evidence: float


def exact(observations: Observations, new: Inputs, outlier: np.ndarray) -> Exact:
    """Conditioning of a normal by the book, for a given state of every shot."""
    count = len(observations.score)
    prior = liking_covariance(np.concatenate([observations.at.cube, new.cube]))
    noise = natural()["taster_sd"] ** 2 + 0.5**2 / 12 + OUTLIER_SCORE[1] ** 2 * outlier
    expected = level_at(observations.at) + OUTLIER_SCORE[0] * outlier
    seen = prior[:count, :count] + np.diag(noise)
    log_likelihood = np.linalg.solve(seen, prior[:count, count:]).T
    return Exact(
        mean=level_at(new) + log_likelihood @ (observations.score - expected),
        covariance=prior[count:, count:] - log_likelihood @ prior[:count, count:],
        log_evidence=float(multivariate_normal(expected, seen).logpdf(observations.score)),
    )


@pytest.fixture
def tasted(pairing: Pairing) -> Observations:
    return observe(pairing, [Shot(recipe=Recipe(grind=g, dose_g=d, temp_c=t), score=s) for g, d, t, s in ROWS])


@pytest.fixture
def new(pairing: Pairing) -> Inputs:
    return inputs(pairing, [Recipe(grind=g, dose_g=d, temp_c=t) for g, d, t in NEW])


states = pytest.mark.parametrize("outlier", [(0, 0, 0, 0, 0), (0, 0, 1, 0, 0), (1, 0, 0, 1, 0)])


@states
def test_log_evidence_is_the_multivariate_normal(tasted: Observations, new: Inputs, outlier: tuple[int, ...]) -> None:
    parameters, tastings = PRIORS.unpack(HELD[None]), Tastings(tasted)
    level = tastings.level(shot_terms(parameters, tasted, MODEL.outlier_share))
    assert level[0] == pytest.approx(level_at(tasted.at))
    density = tastings.log_evidence(parameters, level, np.array([outlier], dtype=bool))
    assert density == pytest.approx([exact(tasted, new, np.array(outlier)).log_evidence], abs=1e-8)


@states
def test_peak_and_residual_are_drawn_from_their_exact_posterior(
    tasted: Observations, new: Inputs, outlier: tuple[int, ...]
) -> None:
    """Means within five standard errors, covariances within five of theirs."""
    count = 40_000
    points, nothing = np.tile(HELD, (count, 1)), np.zeros(count)
    hidden = np.tile(np.array(outlier, dtype=bool), (count, 1))
    particles = Particles(points=points, log_base=nothing, log_likelihood=nothing, hidden=hidden)
    liking = _complete(
        particles,
        shot_terms(PRIORS.unpack(points), tasted, MODEL.outlier_share),
        Tastings(tasted),
        nothing[: len(ROWS)],
        0.0,
        np.random.default_rng(3),
    ).liking(new)
    known = exact(tasted, new, np.array(outlier))
    variance = np.diag(known.covariance)
    assert np.all(np.abs(liking.mean(axis=0) - known.mean) < 5 * np.sqrt(variance / count))
    error = np.sqrt((known.covariance**2 + np.outer(variance, variance)) / count)
    assert np.all(np.abs(np.cov(liking, rowvar=False) - known.covariance) < 5 * error)
    assert np.abs(known.covariance - np.diag(variance)).max() > 0.01, "the check must see covariances"


@pytest.mark.slow
def test_the_sampler_on_a_held_curve_is_the_mixture_over_outliers(tasted: Observations, new: Inputs) -> None:
    """With a start that pins the curve only peak, residual and 2⁵ states of five shots are open: all exact."""
    parts, log_weight = [], []
    for state in itertools.product((0, 1), repeat=len(ROWS)):
        part = exact(tasted, new, np.array(state))
        parts.append(part)
        hit = sum(state)
        log_weight.append(
            part.log_evidence + hit * np.log(MODEL.outlier_share) + (len(ROWS) - hit) * np.log1p(-MODEL.outlier_share)
        )
    weight = np.exp(log_weight - logsumexp(log_weight))
    mean = sum(share * part.mean for share, part in zip(weight, parts, strict=True))
    second = sum(share * (np.diag(part.covariance) + part.mean**2) for share, part in zip(weight, parts, strict=True))
    struck = weight @ np.array(list(itertools.product((0, 1), repeat=len(ROWS))))

    start = InitialDistribution(centre=HELD, root=1e-4 * np.eye(len(NAMES)), informative=1.0 - 1e-12)
    draws = sample_parametric(tasted, start, np.random.default_rng(5), 8192)
    liking = draws.liking(new)
    assert draws.coordinates == pytest.approx(np.tile(HELD, (8192, 1)), abs=1e-3)
    assert draws.log_evidence == pytest.approx(logsumexp(log_weight), abs=0.05)
    assert draws.outlier.mean(axis=0) == pytest.approx(struck, abs=0.03)
    assert draws.outlier_before == pytest.approx(MODEL.outlier_share), "neither shot time nor note says which"
    assert liking.mean(axis=0) == pytest.approx(mean, abs=0.05)
    assert liking.std(axis=0) == pytest.approx(np.sqrt(second - mean**2), rel=0.04)
