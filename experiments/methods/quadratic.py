"""A quadratic response surface, fitted by least squares with a little ridge.

The classic of experimental design (Box & Wilson 1951, memory): a full quadratic in the dials, the next run at its
highest point. The ridge keeps it defined before there are as many shots as coefficients.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dialopt import Pairing, Recipe, Shot
from experiments.methods.grid import FIRST_SHOTS, from_unit, opening, to_unit, unit_grid
from experiments.methods.method import Earlier, best_scoring

RIDGE = 0.2
WANDER = 1.0
"""Points of score that a recipe of average leverage is given for being unknown."""


@dataclass(slots=True)
class Quadratic:
    """A few spread-out recipes, then the top of the surface plus a bonus for where it is least known."""

    pairing: Pairing
    first: list[Recipe]
    grid: NDArray[np.float64]

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        if len(shots) < FIRST_SHOTS:
            return self.first[len(shots)]
        mean, spread = self._surface(shots)
        return from_unit(self.pairing, self.grid[int(np.argmax(mean + WANDER * spread / spread.mean()))])

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The top of the surface among the recipes as well known as those pulled."""
        if len(shots) < FIRST_SHOTS:
            return best_scoring(self.pairing, shots)
        mean, spread = self._surface(shots)
        return from_unit(self.pairing, self.grid[int(np.argmax(mean - WANDER * spread / spread.mean()))])

    def _surface(self, shots: Sequence[Shot]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Fitted score and the square root of leverage over the grid."""
        tasted = [shot for shot in shots if shot.score is not None]
        score = np.array([shot.score for shot in tasted], float)
        design = _terms(np.array([to_unit(self.pairing, shot.recipe) for shot in tasted]))
        penalty = RIDGE * np.eye(design.shape[1])
        penalty[0, 0] = 1e-9
        inverse = np.linalg.inv(design.T @ design + penalty)
        everywhere = _terms(self.grid)
        spread = np.sqrt(np.einsum("ij,jk,ik->i", everywhere, inverse, everywhere))
        return everywhere @ (inverse @ (design.T @ score)), spread


def _terms(unit: NDArray[np.float64]) -> NDArray[np.float64]:
    """Intercept, linear, square and cross terms of places coded to −1 … 1."""
    coded = 2 * unit - 1
    dials = coded.shape[1]
    columns = [np.ones(len(coded)), *coded.T]
    columns += [coded[:, a] * coded[:, b] for a in range(dials) for b in range(a, dials)]
    return np.stack(columns, axis=1)


def make(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Quadratic:
    """Starts with the usual opening."""
    return Quadratic(pairing, opening(pairing, seed), unit_grid(pairing))
