"""Where a pairing starts from: the priors, or what other pairings and the bag itself have to say."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dialopt.model.elicited import ElicitedPrior
from dialopt.model.observations import Floats
from dialopt.model.priors import NAMES, PRIORS, Priors

BROAD_SHARE = 0.3
"""Share of the priors that is broad, so that an unusual kitchen, bean or palate can't hurt for long."""
BREADTH = 1.8
"""How many times wider than the usual priors that share is, in every parameter at once."""
_PRIORS_VARIANCE = 1.0 + BROAD_SHARE * (BREADTH**2 - 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class InitialDistribution:
    """A density over standard coordinates: the priors, mixed with a normal where a history or the bag says more.

    centre: (k,) and root: triangular root of the covariance, (k, k), of that normal. informative: its share, 0–1.
    """

    centre: Floats
    root: Floats
    informative: float

    def draw(self, count: int, rng: np.random.Generator) -> Floats:
        """`count` points, (count, k)."""
        points = rng.standard_normal((count, len(self.centre)))
        robust = count - round(self.informative * count)
        points[: round(BROAD_SHARE * robust)] *= BREADTH
        points[robust:] = self.centre + points[robust:] @ self.root.T
        return points

    def log_density(self, points: Floats) -> Floats:
        """Log density of P points up to a constant, (P,)."""
        square = np.sum(points**2, axis=1)
        broad = -0.5 * square / BREADTH**2 - points.shape[1] * math.log(BREADTH)
        priors = np.logaddexp(math.log1p(-BROAD_SHARE) - 0.5 * square, math.log(BROAD_SHARE) + broad)
        if self.informative == 0.0:
            return np.asarray(priors)
        away = np.linalg.solve(self.root, (points - self.centre).T)
        normal = -0.5 * np.sum(away**2, axis=0) - np.log(np.diagonal(self.root)).sum()
        return np.asarray(np.logaddexp(math.log1p(-self.informative) + priors, math.log(self.informative) + normal))


def usual_initial() -> InitialDistribution:
    """Nothing known beside the priors."""
    return InitialDistribution(centre=np.zeros(len(NAMES)), root=np.eye(len(NAMES)), informative=0.0)


def informed_initial(
    histories: Sequence[tuple[Floats, Floats]],
    elicited_priors: Sequence[ElicitedPrior] = (),
    *,
    robust_weight: float,
    priors: Priors = PRIORS,
) -> InitialDistribution:
    """A start from other pairings' posteriors and from what the bag says. Each history: its draws in standard
    coordinates, (P, k), and how far each parameter is shared with it, a correlation from 0 to 1, (k,). robust_weight:
    the share that stays as if nothing were known, so that what is wrong in them can't hurt for long (robust
    meta-analytic priors: Schmidli et al. 2014).

    A shared parameter is taken to be ρ·theirs + √(1 − ρ²)·news, which keeps the prior as it is where a history taught
    nothing; where all of them taught nothing, the start is the usual one. What the histories and the elicited priors
    say adds up in precisions.
    """
    size = len(NAMES)
    precision: Floats = np.eye(size)
    weighted: Floats = np.zeros(size)
    for draws, shared in histories:
        spread, centre = _taught(draws)
        learned = np.linalg.inv(np.outer(shared, shared) * spread + np.diag(1.0 - shared**2))
        precision = precision + learned - np.eye(size)
        weighted = weighted + learned @ (shared * centre)
    for elicited in elicited_priors:
        row = NAMES.index(elicited.parameter)
        there, off = priors.standard(elicited.parameter, elicited.value, elicited.spread)
        precision[row, row] += 1.0 / off**2
        weighted[row] += there / off**2
    if np.allclose(precision, np.eye(size)):
        return usual_initial()
    together = np.asarray(np.linalg.inv(precision), dtype=np.float64)
    return InitialDistribution(
        centre=together @ weighted,
        root=np.asarray(np.linalg.cholesky((together + together.T) / 2)),
        informative=1.0 - robust_weight,
    )


def _taught(draws: Floats) -> tuple[Floats, Floats]:
    """Covariance and mean that a history's evidence makes of the usual priors; draws: of its posterior, (P, k).

    It was read with a share of all priors broad, so its evidence is what its precision holds beyond theirs. It taught
    nothing in a direction in which its draws lie no closer together than so few of the priors do by chance: the
    smallest eigenvalue of such a sample's covariance nears v·(1 − √(k/P))² (Marchenko & Pastur 1967), and lies up to a
    tenth below where two breadths are mixed (computed).
    """
    count, size = draws.shape
    values, vectors = np.linalg.eigh(np.cov(draws, rowvar=False))
    taught = values < 0.9 * _PRIORS_VARIANCE * (1.0 - math.sqrt(size / count)) ** 2
    evidence = np.where(taught, 1.0 / values - 1.0 / _PRIORS_VARIANCE, 0.0)
    centre = np.where(taught, draws.mean(axis=0) @ vectors / values, 0.0) / (1.0 + evidence)
    return np.asarray(vectors / (1.0 + evidence) @ vectors.T), np.asarray(vectors @ centre)
