"""scikit-optimize: its Optimizer as it comes, over setting numbers."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from dialopt import Pairing, Recipe, Shot
from experiments.methods.grid import FIRST_SHOTS, from_indices, opening, to_indices, turnable
from experiments.methods.method import Absent, Earlier, best_scoring


@dataclass(slots=True)
class Scikit:
    """Asks the Optimizer after its first shots, tells it each score, negated since it minimises; recommends what scored
    best.
    """

    pairing: Pairing
    optimizer: Any
    first: list[Recipe]
    _told: int = field(init=False, default=0)

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # it warns at every fit whose noise meets its bound
            for shot in shots[self._told :]:
                if shot.score is not None:
                    self.optimizer.tell(to_indices(self.pairing, shot.recipe), -shot.score)
            self._told = len(shots)
            if len(shots) < len(self.first):
                return self.first[len(shots)]
            return from_indices(self.pairing, self.optimizer.ask())

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The best-scoring recipe so far."""
        return best_scoring(self.pairing, shots)


def make(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Scikit:
    """Every option at its default, which means ten random recipes first."""
    return _make(pairing, seed, [])


def make_eager(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Scikit:
    """The usual opening in place of ten random recipes."""
    return _make(pairing, seed, opening(pairing, seed), n_initial_points=FIRST_SHOTS)


def _make(pairing: Pairing, seed: int, first: list[Recipe], **options: Any) -> Scikit:
    try:
        from skopt import Optimizer
        from skopt.space import Integer
    except ImportError:
        raise Absent("scikit-optimize isn't installed") from None
    space = [Integer(0, dial.count - 1, name=name) for name, dial in turnable(pairing).items()]
    return Scikit(pairing, Optimizer(space, random_state=seed, **options), first)
