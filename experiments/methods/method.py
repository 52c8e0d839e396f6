"""What a method is to the harness, and what methods share: places on the dials and the first shots."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from dialopt import Dial, Pairing, Recipe, Shot

Earlier = Sequence[tuple[Pairing, Sequence[Shot]]]
Floats = NDArray[np.float64]

FIRST_SHOTS = 4
"""Shots before a general-purpose optimiser has a model."""


class Absent(Exception):
    """A method whose package isn't installed; the message says which."""


class Method(Protocol):
    """Asked with the shots so far, a list that grows by one shot between calls.

    One that also has `advice(shots)`, as dialopt does, is asked how sure it is, too.
    """

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The recipe to pull next, on the dials."""

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The recipe to drink now, on the dials."""


class Maker(Protocol):
    """Makes a method for one bag."""

    def __call__(self, pairing: Pairing, seed: int, earlier: Earlier = ()) -> Method:
        """A fresh method. Raises Absent when its package isn't installed."""


@dataclass(slots=True)
class Optimiser(ABC):
    """A general-purpose optimiser: the `first` recipes, then what `choose` says; recommends what scored best."""

    pairing: Pairing
    seed: int
    first: list[Recipe]

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        return self.first[len(shots)] if len(shots) < len(self.first) else self.choose(shots)

    @abstractmethod
    def choose(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe, once there are shots to learn from."""

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The best-scoring recipe so far."""
        return best_scoring(self.pairing, shots)


@dataclass(slots=True)
class Surrogate(Optimiser):
    """An optimiser that recommends the top of a surface, once it has one."""

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The top of the surface; before there is one, the best-scoring recipe."""
        if len(shots) < FIRST_SHOTS:
            return best_scoring(self.pairing, shots)
        grid = unit_grid(self.pairing)
        return from_unit(self.pairing, grid[int(np.argmax(self.surface(shots, grid)))])

    @abstractmethod
    def surface(self, shots: Sequence[Shot], grid: Floats) -> Floats:
        """How good it holds each point of `unit_grid` to be, (points,)."""


def middle(pairing: Pairing) -> Recipe:
    """Every dial at its middle."""
    return Recipe(**{name: dial.middle for name, dial in pairing.dials.items()})


def best_scoring(pairing: Pairing, shots: Sequence[Shot]) -> Recipe:
    """The recipe of the shot that scored best, the latest of equals; the middle before any shot."""
    best, best_score = middle(pairing), -1.0
    for shot in shots:
        if shot.score is not None and shot.score >= best_score:
            best, best_score = shot.recipe, shot.score
    return best


def spread(pairing: Pairing, seed: int, count: int) -> Floats:
    """Points of a scrambled Sobol set in unit places of the turnable dials, (count, dials)."""
    return np.asarray(qmc.Sobol(len(turnable(pairing)), rng=seed).random(count))


def opening(pairing: Pairing, seed: int) -> list[Recipe]:
    """The usual first shots of a general-purpose optimiser: the middle, where everybody would start, then a spread."""
    return [middle(pairing), *(from_unit(pairing, place) for place in spread(pairing, seed, FIRST_SHOTS)[1:])]


def turnable(pairing: Pairing) -> dict[str, Dial]:
    """The dials of more than one setting."""
    return {name: dial for name, dial in pairing.dials.items() if not dial.fixed}


def last_settings(pairing: Pairing) -> list[int]:
    """The number of the last setting of each turnable dial; the first is 0."""
    return [dial.count - 1 for dial in turnable(pairing).values()]


def to_indices(pairing: Pairing, recipe: Recipe) -> list[int]:
    """Setting numbers on the turnable dials."""
    return [dial.index(getattr(recipe, name)) for name, dial in turnable(pairing).items()]


def from_indices(pairing: Pairing, indices: Sequence[float]) -> Recipe:
    """The recipe of those setting numbers, rounded and kept on the dials."""
    settings = {name: dial.low for name, dial in pairing.dials.items()}
    for (name, dial), index in zip(turnable(pairing).items(), indices, strict=True):
        settings[name] = dial.settings()[min(max(round(float(index)), 0), dial.count - 1)]
    return Recipe(**settings)


def to_unit(pairing: Pairing, recipe: Recipe) -> Floats:
    """Places on the turnable dials, 0 at their low ends and 1 at their high ends."""
    return np.asarray(np.array(to_indices(pairing, recipe), float) / np.array(last_settings(pairing), float))


def from_unit(pairing: Pairing, places: Sequence[float] | Floats) -> Recipe:
    """The recipe nearest to those places."""
    return from_indices(pairing, [place * last for place, last in zip(places, last_settings(pairing), strict=True)])


def unit_grid(pairing: Pairing, most: int = 25) -> Floats:
    """A grid over the turnable dials in unit places, at most `most` settings a dial, shape (points, dials)."""
    axes = [np.unique(np.round(np.linspace(0, last, min(last + 1, most)))) / last for last in last_settings(pairing)]
    return np.stack([axis.ravel() for axis in np.meshgrid(*axes, indexing="ij")], axis=-1)
