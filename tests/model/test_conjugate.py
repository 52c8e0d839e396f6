"""Where everything is normal the posterior is known exactly: peak and residual, with the trade's curve held.

The curve and the kernel are computed here another way: the curve one recipe at a time, the kernel by scikit-learn's
Matérn through the lattice (Rasmussen & Williams 2006, sections 2.2 and 8.3.1).
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.special import logsumexp
from scipy.stats import multivariate_normal
from sklearn.gaussian_process.kernels import Matern

from dialopt import Dial, Pairing, Recipe, Shot
from dialopt.model.config import MODEL
from dialopt.model.initial import InitialDistribution
from dialopt.model.likelihood import OUTLIER_SCORE, Tastings, shot_terms
from dialopt.model.observations import Inputs, Observations, inputs, observe
from dialopt.model.parametric import _complete, sample_parametric
from dialopt.model.priors import NAMES, PEAK, PRIORS
from dialopt.model.smc import Particles

HELD = 0.6 * np.sin(np.arange(len(NAMES)) + 1.0)
"""Coordinates of one curve, none of them nought."""
HELD[[NAMES.index(name) for name in ("hill", "steep", "matters")]] = 1.7, -1.1, -0.2
"""Unlike most bags: a second hill past the first, slopes a little flatter, the bowls half felt."""
LENGTHS = (0.3, 0.6, 0.6, 0.6)
ROWS = (
    *[(24, 18.0, 93, 2.0, 7.5), (19, 18.5, 92, 2.2, 7.0), (19, 18.5, 92, 2.2, 6.0)],
    *[(15, 17.2, 94, 1.6, 4.0), (10, 19.0, 90, 2.8, 4.0)],
)
NEW = ((22, 18.0, 93, 2.0), (17, 18.0, 93, 2.4), (12, 18.0, 95, 1.5), (36, 17.0, 89, 3.0))


def natural(coordinates: np.ndarray = HELD) -> dict[str, float]:
    raw = {
        name: prior.centre if not prior.positive else math.log(prior.centre) for name, prior in PRIORS._asdict().items()
    }
    raw = {name: raw[name] + getattr(PRIORS, name).spread * at for name, at in zip(NAMES, coordinates, strict=True)}
    return {name: math.exp(value) if getattr(PRIORS, name).positive else value for name, value in raw.items()}


def gate(coordinate: float) -> float:
    """How far a bag is one thing rather than the other, 0–1."""
    return 1 / (1 + math.exp(-8 * coordinate))


def level_at(at: Inputs, coordinates: np.ndarray = HELD) -> np.ndarray:
    """Liking at the usual peak without residual, (n,)."""
    c = natural(coordinates)

    def valley(z: float) -> float:
        slope = c["under_slope"] if z < 0 else c["over_slope"]
        return slope * (math.hypot(c["rounding"], z) - c["rounding"])

    level = []
    for grind, dose_g, temp_c, pulled in at.raw:
        fine, dose, temp, ratio = (40 - grind) / 40, math.log(dose_g / 18.25), (temp_c - 92) / 4, math.log(pulled / 2)
        log_time = math.log(28) + c["time_grind"] * (fine - c["time_place"])
        log_time += c["time_dose"] * dose + c["time_temp"] * temp + c["time_ratio"] * ratio
        z = log_time - c["time_best"] + c["pull_temp"] * temp + c["pull_dose"] * dose + c["pull_ratio"] * ratio
        lost = valley(z)
        if abs(c["hill"]) > 1.47:
            lost = min(lost, valley(z - math.copysign(c["hill_away"], c["hill"])) + c["hill_lower"])
        bowls = c["temp_curve"] * (temp - c["temp_best"]) ** 2 + c["dose_curve"] * (dose - c["dose_best"]) ** 2
        lost += gate(c["matters"]) * bowls
        lost += c["ratio_curve"] * ((ratio - c["ratio_best"]) ** 2 - c["ratio_best"] ** 2)
        level.append(PEAK.centre - (0.2 + 0.8 * gate(c["steep"])) * lost)
    return np.array(level)


def liking_covariance(cube: np.ndarray) -> np.ndarray:
    """Peak and residual together, before any score, (n, n)."""
    sides = [np.linspace(0, 1, count) for count in (6, 3, 3, 3)]
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
def turned(pairing: Pairing) -> Pairing:
    """All four dials turn."""
    return replace(pairing, ratio=Dial(1.5, 3, 0.1))


@pytest.fixture
def tasted(turned: Pairing) -> Observations:
    shots = [Shot(recipe=Recipe(grind=g, dose_g=d, temp_c=t, ratio=r), score=s) for g, d, t, r, s in ROWS]
    return observe(turned, shots)


@pytest.fixture
def new(turned: Pairing) -> Inputs:
    return inputs(turned, [Recipe(grind=g, dose_g=d, temp_c=t, ratio=r) for g, d, t, r in NEW])


states = pytest.mark.parametrize("outlier", [(0, 0, 0, 0, 0), (0, 0, 1, 0, 0), (1, 0, 0, 1, 0)])


def test_the_curve_is_that_of_one_recipe_at_a_time_on_every_kind_of_bag(tasted: Observations) -> None:
    points = 1.5 * np.random.default_rng(2).standard_normal((200, len(NAMES)))
    parameters = PRIORS.unpack(points)
    level = Tastings(tasted).level(shot_terms(parameters, tasted, MODEL.outlier_share))
    assert level == pytest.approx(np.array([level_at(tasted.at, point) for point in points]))
    kinds = [np.abs(parameters["hill"]) > 1.47, parameters["hill"] > 0, parameters["steep"] > 0]
    kinds.append(parameters["matters"] > 0)
    assert all(10 < kind.sum() < 190 for kind in kinds), "the check must see bags of every kind"


@states
def test_log_evidence_is_the_multivariate_normal(tasted: Observations, new: Inputs, outlier: tuple[int, ...]) -> None:
    parameters, tastings = PRIORS.unpack(HELD[None]), Tastings(tasted)
    level = tastings.level(shot_terms(parameters, tasted, MODEL.outlier_share))
    assert level[0] == pytest.approx(level_at(tasted.at))
    density = tastings.log_evidence(parameters, level, np.array([outlier], dtype=bool), np.empty((1, 0)))
    assert density == pytest.approx([exact(tasted, new, np.array(outlier)).log_evidence], abs=1e-8)


@states
def test_peak_and_residual_are_drawn_from_their_exact_posterior(
    tasted: Observations, new: Inputs, outlier: tuple[int, ...]
) -> None:
    """Means within five standard errors, covariances within five of theirs."""
    count = 40_000
    points, nothing = np.tile(HELD, (count, 1)), np.zeros(count)
    hidden = np.tile(np.array(outlier, dtype=bool), (count, 1))
    particles = Particles(
        points=points, log_base=nothing, log_likelihood=nothing, hidden=hidden, latent=np.empty((count, 0))
    )
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
