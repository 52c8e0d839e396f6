"""What a method is to the harness."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from dialopt import Pairing, Recipe, Shot

Earlier = Sequence[tuple[Pairing, Sequence[Shot]]]

LEVELS = (0.5, 0.8, 0.9)


class Absent(Exception):
    """A method whose package isn't installed; the message says which."""


class Method(Protocol):
    """Asked with the shots so far, a list that grows by one shot between calls."""

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The recipe to pull next, on the dials."""

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The recipe to drink now, on the dials."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """What a method says of itself.

    holds: whether its region for the best setting holds the recipe that was asked about. score: the intervals of its
    next pull's score. Both by level of `LEVELS`. prob_near_optimal: probability that its recommendation is within half
    a point of the best. settled: whether it would stop. gp_weight: share of the say of a part that assumes nothing.
    """

    holds: tuple[bool, ...]
    score: tuple[tuple[float, float], ...]
    prob_near_optimal: float
    settled: bool
    gp_weight: float


class Frank(Protocol):
    """A method that also says how sure it is."""

    def posterior(self, shots: Sequence[Shot], best: Recipe) -> Posterior:
        """What it believes, asked whether its region holds `best`."""

    def region_share(self, shots: Sequence[Shot], recipes: Sequence[Recipe]) -> float:
        """The share of these recipes that its 90 % region holds."""


class Maker(Protocol):
    """Makes a method for one bag."""

    def __call__(self, pairing: Pairing, seed: int, earlier: Earlier = ()) -> Method:
        """A fresh method. Raises Absent when its package isn't installed."""


def middle(pairing: Pairing) -> Recipe:
    """Every dial at its middle."""
    return Recipe(**{name: dial.middle for name, dial in pairing.dials.items()})


def best_scoring(pairing: Pairing, shots: Sequence[Shot]) -> Recipe:
    """The recipe of the shot that scored best, the latest of equals; the middle before any shot."""
    best = middle(pairing)
    best_score = -1.0
    for shot in shots:
        if shot.score is not None and shot.score >= best_score:
            best, best_score = shot.recipe, shot.score
    return best
