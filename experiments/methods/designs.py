"""Designs of experiments as old as the field: a Sobol set, and a quadratic response surface."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dialopt import Pairing, Recipe, Shot
from experiments.methods.method import (
    Earlier,
    Floats,
    Optimiser,
    Surrogate,
    from_unit,
    opening,
    spread,
    to_unit,
    unit_grid,
)

MOST_SHOTS = 128
RIDGE = 0.2
WANDER = 1.0
"""Points of score that a recipe of average leverage is given for being unknown."""


def sobol(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Optimiser:
    """Recipes spread evenly by a scrambled set, whatever the scores say, over again after `MOST_SHOTS`."""
    return Sobol(pairing, seed, [from_unit(pairing, place) for place in spread(pairing, seed, MOST_SHOTS)])


class Sobol(Optimiser):
    """The points of the set, in turn."""

    def choose(self, shots: Sequence[Shot]) -> Recipe:
        """The next point after the last is the first."""
        return self.first[len(shots) % len(self.first)]


class Quadratic(Surrogate):
    """A full quadratic in the dials by least squares (Box & Wilson 1951, memory).

    A little ridge keeps it defined before there are as many shots as coefficients. The next recipe is the top of the
    surface plus a bonus for where it is least known, the recommended one that less as much.
    """

    def choose(self, shots: Sequence[Shot]) -> Recipe:
        """The top of the surface plus the bonus."""
        grid = unit_grid(self.pairing)
        mean, leverage = self._fitted(shots, grid)
        return from_unit(self.pairing, grid[int(np.argmax(mean + WANDER * leverage / leverage.mean()))])

    def surface(self, shots: Sequence[Shot], grid: Floats) -> Floats:
        """The fitted score less the bonus."""
        mean, leverage = self._fitted(shots, grid)
        return np.asarray(mean - WANDER * leverage / leverage.mean())

    def _fitted(self, shots: Sequence[Shot], grid: Floats) -> tuple[Floats, Floats]:
        """Fitted score and the square root of leverage over the grid."""
        tasted = [shot for shot in shots if shot.score is not None]
        score = np.array([shot.score for shot in tasted], float)
        design = _terms(np.array([to_unit(self.pairing, shot.recipe) for shot in tasted]))
        penalty = RIDGE * np.eye(design.shape[1])
        penalty[0, 0] = 1e-9
        inverse = np.linalg.inv(design.T @ design + penalty)
        everywhere = _terms(grid)
        leverage = np.sqrt(np.einsum("ij,jk,ik->i", everywhere, inverse, everywhere))
        return everywhere @ (inverse @ (design.T @ score)), leverage


def quadratic(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Quadratic:
    """The response surface after the usual opening."""
    return Quadratic(pairing, seed, opening(pairing, seed))


def _terms(unit: Floats) -> Floats:
    """Intercept, linear, square and cross terms of places coded to −1 … 1."""
    coded = 2 * unit - 1
    dials = coded.shape[1]
    columns = [np.ones(len(coded)), *coded.T]
    columns += [coded[:, a] * coded[:, b] for a in range(dials) for b in range(a, dials)]
    return np.stack(columns, axis=1)
