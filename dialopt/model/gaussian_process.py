"""The surrogate that assumes nothing of the trade: scikit-optimize's Gaussian process on the dials alone.

Its hyperparameters are not fitted, which a handful of noisy scores can't bear, but averaged over a small lattice by
their evidence. A draw of the surface is a prior draw by random features (Rahimi & Recht 2007), corrected at the shots
by the process's own factorisation (Matheron's rule), so that it can be evaluated at any setting.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.special import logsumexp, softmax
from skopt.learning import GaussianProcessRegressor
from skopt.learning.gaussian_process.kernels import ConstantKernel, Kernel, Matern, WhiteKernel

from dialopt.model.likelihood import OUTLIER_SCORE
from dialopt.model.normal import log_joint_normal
from dialopt.model.observations import Floats, Inputs

USUAL_SCORE = 5.5
_LEVEL_SD = 1.5
_FEATURES = 120


class Hyperparameters(NamedTuple):
    """One set of hyperparameters: points, shares of a dial, points."""

    surface_sd: float
    length: float
    noise_sd: float


_SURFACES, _LENGTHS, _NOISES = (0.15, 0.8, 1.5), (0.25, 0.5, 1.0), (0.5, 1.0, 1.8)
GRID = tuple(
    Hyperparameters(surface, length, noise)
    for surface, length, noise in itertools.product(_SURFACES, _LENGTHS, _NOISES)
    # On a surface that hardly rises, length makes no difference.
    if surface != _SURFACES[0] or length == _LENGTHS[-1]
)
_PRIOR = np.array([1 / len(_SURFACES) / sum(it.surface_sd == other.surface_sd for other in GRID) for it in GRID])
"""Every surface, that of a bag on which nothing makes a difference among them, is as likely as another."""


def turned_cube(at: Inputs) -> Floats:
    """n settings in the unit cube of the dials that can be turned, (n, turned dials); off a dial counts as its end."""
    return np.clip(at.cube[:, at.turned], 0.0, 1.0)


def kernel_of(hyperparameters: Hyperparameters) -> Kernel:
    """Level, surface and taster noise, nothing to be fitted."""
    surface = ConstantKernel(hyperparameters.surface_sd**2) * Matern(hyperparameters.length, nu=2.5)
    return (ConstantKernel(_LEVEL_SD**2) + surface) + WhiteKernel(hyperparameters.noise_sd**2)


def unfitted(kernel: Kernel, extra_variance: Floats) -> GaussianProcessRegressor:
    """A process that keeps its kernel as it is. extra_variance: noise of each shot beside the kernel's, (m,)."""
    return GaussianProcessRegressor(kernel=kernel, alpha=extra_variance, optimizer=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class RandomFeatures:
    """Random cosines of one length scale, whose weighted sums draw a surface. frequencies: (d, F). phases: (F,)."""

    frequencies: Floats
    phases: Floats

    def at(self, cube: Floats) -> Floats:
        """The features of n settings, (n, F)."""
        return np.asarray(np.sqrt(2 / len(self.phases)) * np.cos(cube @ self.frequencies + self.phases))


@dataclass(frozen=True, slots=True, kw_only=True)
class PathwiseSamples:
    """p draws of one set of hyperparameters: weights of the features, (p, F), level, (p, 1), and the correction that
    the shots pull them by, (p, m).
    """

    hyperparameters: Hyperparameters
    weights: Floats
    level: Floats
    process: GaussianProcessRegressor
    pull: Floats

    def at(self, cube: Floats, features: Floats) -> Floats:
        """Heights at n settings with these features, (p, n)."""
        before = self.level + self.weights @ features.T
        return np.asarray(before + self.pull @ self.process.kernel_.k1(self.process.X_train_, cube))


@dataclass(frozen=True, slots=True, kw_only=True)
class GaussianProcessDraws:
    """P draws of the surface. features: of each length. score_sd: repeat noise of each, (P,)."""

    features: Mapping[float, RandomFeatures]
    samples: tuple[PathwiseSamples, ...]
    score_sd: Floats

    def liking(self, at: Inputs) -> Floats:
        """Liking at n settings, (P, n)."""
        cube = turned_cube(at)
        features = {length: made.at(cube) for length, made in self.features.items()}
        return USUAL_SCORE + np.concatenate(
            [sample.at(cube, features[sample.hyperparameters.length]) for sample in self.samples]
        )


class GaussianProcess:
    """The averaged process for m tastings on dials that can't all be fixed.

    at: their settings. score: (m,). outlier: the chance that its puck went wrong by all but the scores, (m,), which may
    not be judged by what they themselves show; such a score is expected to be lower and counts for less.
    `log_evidence` is the log density of the scores, `share` the posterior weight of each set of hyperparameters.
    """

    def __init__(self, at: Inputs, score: Floats, outlier: Floats) -> None:
        self._box = turned_cube(at)
        # Normal scores of the mean and variance that a bad puck gives them by its chance.
        shift, spread = OUTLIER_SCORE
        self._gap = score - USUAL_SCORE - shift * outlier
        self._extra = 1e-6 + spread**2 * outlier + shift**2 * outlier * (1.0 - outlier)
        evidence = self._evidence()
        self.log_evidence = float(logsumexp(evidence, b=_PRIOR))
        self.share = softmax(evidence + np.log(_PRIOR))

    def draw(self, count: int, rng: np.random.Generator) -> GaussianProcessDraws:
        """`count` draws of the surface, each set of hyperparameters in proportion to its weight."""
        ends = np.floor(np.cumsum(self.share) * count + rng.random()).astype(int)
        ends[-1] = count
        counts = np.diff(np.minimum(ends, count), prepend=0)
        drawn = [
            (hyperparameters, int(number)) for hyperparameters, number in zip(GRID, counts, strict=True) if number > 0
        ]
        features = {length: self._features(length, rng) for length in sorted({it.length for it, _ in drawn})}
        return GaussianProcessDraws(
            features=features,
            samples=tuple(self._pathwise(it, number, features[it.length], rng) for it, number in drawn),
            score_sd=np.concatenate([np.full(number, hyperparameters.noise_sd) for hyperparameters, number in drawn]),
        )

    def _features(self, length: float, rng: np.random.Generator) -> RandomFeatures:
        turned = self._box.shape[1]
        # A Matérn-5/2 process has the spectrum of a multivariate t of five freedoms.
        frequencies = rng.standard_normal((turned, _FEATURES)) / np.sqrt(rng.chisquare(5, _FEATURES) / 5)
        return RandomFeatures(frequencies=frequencies / length, phases=rng.uniform(0, 2 * np.pi, _FEATURES))

    def _pathwise(
        self, hyperparameters: Hyperparameters, number: int, features: RandomFeatures, rng: np.random.Generator
    ) -> PathwiseSamples:
        weights = hyperparameters.surface_sd * rng.standard_normal((number, _FEATURES))
        level = _LEVEL_SD * rng.standard_normal((number, 1))
        process = self._fitted(hyperparameters)
        noise = np.sqrt(hyperparameters.noise_sd**2 + self._extra) * rng.standard_normal((number, len(self._gap)))
        missed = self._gap - (level + weights @ features.at(self._box).T) - noise
        pull = np.linalg.solve(process.L_.T, np.linalg.solve(process.L_, missed.T)).T
        return PathwiseSamples(
            hyperparameters=hyperparameters, weights=weights, level=level, process=process, pull=pull
        )

    def _evidence(self) -> Floats:
        """Log density of the scores under each set of hyperparameters."""
        extra = self._extra * np.eye(len(self._gap))
        covariance = np.stack([kernel_of(hyperparameters)(self._box) + extra for hyperparameters in GRID])
        return log_joint_normal(np.tile(self._gap, (len(GRID), 1)), covariance)

    def _fitted(self, hyperparameters: Hyperparameters) -> GaussianProcessRegressor:
        return unfitted(kernel_of(hyperparameters), self._extra).fit(self._box, self._gap)
