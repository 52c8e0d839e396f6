"""bayes-skopt: scikit-optimize with kernel parameters sampled instead of fitted (optional)."""

from __future__ import annotations

import contextlib
import importlib
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from dialopt import Pairing, Recipe, Shot
from experiments.methods.grid import FIRST_SHOTS, from_indices, from_unit, opening, to_indices, turnable, unit_grid
from experiments.methods.method import Absent, Earlier, best_scoring


@dataclass(slots=True)
class Bask:
    """The opening first, then what the optimizer asks for; recommends the setting that its mean likes best.

    It is told each score negated, since it minimises.
    """

    pairing: Pairing
    optimizer: Any
    seed: int
    first: list[Recipe]
    _told: int = field(init=False, default=0)

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        self._tell(shots)
        if len(shots) < FIRST_SHOTS:
            return self.first[len(shots)]
        with _its_own_luck(self.seed + 1000 * len(shots)):
            return from_indices(self.pairing, self.optimizer.ask())

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The setting of the highest mean; before it has a model, the best-scoring recipe."""
        self._tell(shots)
        if len(shots) < FIRST_SHOTS:
            return best_scoring(self.pairing, shots)
        grid = unit_grid(self.pairing)
        counts = np.array([dial.count - 1 for dial in turnable(self.pairing).values()])
        places = self.optimizer.space.transform(np.round(grid * counts).astype(int).tolist())
        return from_unit(self.pairing, grid[int(np.argmin(self.optimizer.gp.predict(places)))])

    def _tell(self, shots: Sequence[Shot]) -> None:
        for number, shot in enumerate(shots[self._told :], self._told):
            with _its_own_luck(self.seed + 1000 * number):
                self.optimizer.tell(to_indices(self.pairing, shot.recipe), -(shot.score or 0.0))
        self._told = len(shots)


@contextlib.contextmanager
def _its_own_luck(seed: int) -> Iterator[None]:
    """It draws from numpy's global generator in places: seeded here, and put back afterwards."""
    state = np.random.get_state()  # noqa: NPY002
    np.random.seed(seed % 2**32)  # noqa: NPY002
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        np.random.set_state(state)  # noqa: NPY002


def make(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Bask:
    """Its defaults after the usual opening, in place of ten points of its own. Raises Absent."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            bask, space_module = importlib.import_module("bask"), importlib.import_module("skopt.space")
    except ImportError:
        raise Absent("bask isn't installed") from None
    space = [space_module.Integer(0, dial.count - 1, name=name) for name, dial in turnable(pairing).items()]
    with _its_own_luck(seed):
        optimizer = bask.Optimizer(space, n_initial_points=FIRST_SHOTS, random_state=seed)
    return Bask(pairing, optimizer, seed, opening(pairing, seed))
