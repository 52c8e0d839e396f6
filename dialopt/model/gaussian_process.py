"""The surrogate that assumes nothing of the trade: scikit-optimize's Gaussian process on the dials alone.

Its hyperparameters are not fitted, which a handful of noisy scores can't bear, but averaged over a small lattice by
their evidence. A draw of the surface is a prior draw by random features (Rahimi & Recht 2007), corrected at the shots
by the process's own factorisation (Matheron's rule), so that it can be evaluated at any setting.
"""

from __future__ import annotations

import itertools
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


GRID = tuple(itertools.starmap(Hyperparameters, itertools.product((0.15, 0.8, 1.5), (0.25, 0.5, 1.0), (0.5, 1.0, 1.8))))


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
    """Draws of a surface before any shot: level and random cosines of one length scale. weights: (p, features)."""

    frequencies: Floats
    phases: Floats
    weights: Floats
    level: Floats

    def at(self, cube: Floats) -> Floats:
        """Heights at n settings, (p, n)."""
        return np.asarray(self.level + self.weights @ np.cos(cube @ self.frequencies + self.phases).T)


@dataclass(frozen=True, slots=True, kw_only=True)
class PathwiseSamples:
    """The draws of one set of hyperparameters, with the correction that the shots pull them by, (p, m)."""

    before: RandomFeatures
    process: GaussianProcessRegressor
    pull: Floats

    def at(self, cube: Floats) -> Floats:
        """Heights at n settings, (p, n)."""
        return np.asarray(self.before.at(cube) + self.pull @ self.process.kernel_.k1(self.process.X_train_, cube))


@dataclass(frozen=True, slots=True, kw_only=True)
class GaussianProcessDraws:
    """P draws of the surface. score_sd: repeat noise of each, (P,)."""

    samples: tuple[PathwiseSamples, ...]
    score_sd: Floats

    def liking(self, at: Inputs) -> Floats:
        """Liking at n settings, (P, n)."""
        cube = turned_cube(at)
        return USUAL_SCORE + np.concatenate([sample.at(cube) for sample in self.samples])


class GaussianProcess:
    """The averaged process for m tastings on dials that can't all be fixed.

    at: their settings. score: (m,). outlier_before, outlier: the chance that its puck went wrong, by all but the scores
    and by these, too, (m,); such a score is expected to be lower and counts for less. `log_evidence` is the log density
    of the scores, which may not be judged by what they themselves show; `share` the posterior weight of each set of
    hyperparameters.
    """

    def __init__(self, at: Inputs, score: Floats, *, outlier_before: Floats, outlier: Floats) -> None:
        self._box = turned_cube(at)
        self._discount(score, outlier_before)
        self.log_evidence = float(logsumexp(self._evidence()) - np.log(len(GRID)))
        self._discount(score, outlier)
        self.share = softmax(self._evidence())

    def draw(self, count: int, rng: np.random.Generator) -> GaussianProcessDraws:
        """`count` draws of the surface, each set of hyperparameters in proportion to its weight."""
        ends = np.floor(np.cumsum(self.share) * count + rng.random()).astype(int)
        ends[-1] = count
        counts = np.diff(np.minimum(ends, count), prepend=0)
        drawn = [
            (hyperparameters, int(number)) for hyperparameters, number in zip(GRID, counts, strict=True) if number > 0
        ]
        return GaussianProcessDraws(
            samples=tuple(self._pathwise(hyperparameters, number, rng) for hyperparameters, number in drawn),
            score_sd=np.concatenate([np.full(number, hyperparameters.noise_sd) for hyperparameters, number in drawn]),
        )

    def _pathwise(self, hyperparameters: Hyperparameters, number: int, rng: np.random.Generator) -> PathwiseSamples:
        turned = self._box.shape[1]
        # A Matérn-5/2 process has the spectrum of a multivariate t of five freedoms.
        frequencies = rng.standard_normal((turned, _FEATURES)) / np.sqrt(rng.chisquare(5, _FEATURES) / 5)
        before = RandomFeatures(
            frequencies=frequencies / hyperparameters.length,
            phases=rng.uniform(0, 2 * np.pi, _FEATURES),
            weights=hyperparameters.surface_sd * np.sqrt(2 / _FEATURES) * rng.standard_normal((number, _FEATURES)),
            level=_LEVEL_SD * rng.standard_normal((number, 1)),
        )
        process = self._fitted(hyperparameters)
        noise = np.sqrt(hyperparameters.noise_sd**2 + self._extra) * rng.standard_normal((number, len(self._gap)))
        missed = self._gap - before.at(self._box) - noise
        pull = np.linalg.solve(process.L_.T, np.linalg.solve(process.L_, missed.T)).T
        return PathwiseSamples(before=before, process=process, pull=pull)

    def _discount(self, score: Floats, outlier: Floats) -> None:
        """Takes scores as normal ones of the mean and variance that a bad puck gives them by its chance."""
        shift, spread = OUTLIER_SCORE
        self._gap = score - USUAL_SCORE - shift * outlier
        self._extra = 1e-6 + spread**2 * outlier + shift**2 * outlier * (1.0 - outlier)

    def _evidence(self) -> Floats:
        """Log density of the scores under each set of hyperparameters."""
        extra = self._extra * np.eye(len(self._gap))
        covariance = np.stack([kernel_of(hyperparameters)(self._box) + extra for hyperparameters in GRID])
        return log_joint_normal(np.tile(self._gap, (len(GRID), 1)), covariance)

    def _fitted(self, hyperparameters: Hyperparameters) -> GaussianProcessRegressor:
        return unfitted(kernel_of(hyperparameters), self._extra).fit(self._box, self._gap)
