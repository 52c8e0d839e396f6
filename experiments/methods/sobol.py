"""A Sobol set: recipes spread evenly, whatever the scores say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from dialopt import Pairing, Recipe, Shot
from experiments.methods.grid import from_unit, turnable
from experiments.methods.method import Earlier, best_scoring

MOST_SHOTS = 128


@dataclass(slots=True)
class Sobol:
    """The next point of the set, over again after `MOST_SHOTS`; recommends what scored best."""

    pairing: Pairing
    points: NDArray[np.float64]

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        return from_unit(self.pairing, self.points[len(shots) % len(self.points)])

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The best-scoring recipe so far."""
        return best_scoring(self.pairing, shots)


def make(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Sobol:
    """A scrambled set."""
    return Sobol(pairing, np.asarray(qmc.Sobol(len(turnable(pairing)), rng=seed).random(MOST_SHOTS)))
