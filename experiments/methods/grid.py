"""Recipes as index numbers of the dials that can be turned, which is what general-purpose optimisers take, and the
shots that they start with here.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from dialopt import Dial, Pairing, Recipe
from experiments.methods.method import middle

FIRST_SHOTS = 4
"""Shots before there is a model."""


def opening(pairing: Pairing, seed: int) -> list[Recipe]:
    """The first shots of a general-purpose optimiser: the middle of the dials, where everybody would start, and then
    recipes of a scrambled Sobol set.
    """
    places = np.asarray(qmc.Sobol(len(turnable(pairing)), rng=seed).random(FIRST_SHOTS))
    return [middle(pairing), *(from_unit(pairing, place) for place in places[1:])]


def turnable(pairing: Pairing) -> dict[str, Dial]:
    """The dials of more than one setting."""
    return {name: dial for name, dial in pairing.dials.items() if not dial.fixed}


def to_indices(pairing: Pairing, recipe: Recipe) -> list[int]:
    """Setting numbers on the turnable dials."""
    return [dial.index(getattr(recipe, name)) for name, dial in turnable(pairing).items()]


def from_indices(pairing: Pairing, indices: Sequence[float]) -> Recipe:
    """The recipe of those setting numbers, rounded and kept on the dials."""
    settings = {name: dial.low for name, dial in pairing.dials.items()}
    for (name, dial), index in zip(turnable(pairing).items(), indices, strict=True):
        settings[name] = dial.settings()[min(max(round(float(index)), 0), dial.count - 1)]
    return Recipe(**settings)


def to_unit(pairing: Pairing, recipe: Recipe) -> NDArray[np.float64]:
    """Places on the turnable dials, 0 at their low ends and 1 at their high ends."""
    counts = [dial.count - 1 for dial in turnable(pairing).values()]
    return np.asarray(np.array(to_indices(pairing, recipe), float) / np.array(counts, float))


def from_unit(pairing: Pairing, places: Sequence[float] | NDArray[np.float64]) -> Recipe:
    """The recipe nearest to those places."""
    counts = [dial.count - 1 for dial in turnable(pairing).values()]
    return from_indices(pairing, [place * count for place, count in zip(places, counts, strict=True)])


def unit_grid(pairing: Pairing, most: int = 25) -> NDArray[np.float64]:
    """A grid over the turnable dials in unit places, at most `most` settings a dial, shape (points, dials)."""
    axes = [
        np.unique(np.round(np.linspace(0, dial.count - 1, min(dial.count, most)))) / (dial.count - 1)
        for dial in turnable(pairing).values()
    ]
    return np.stack([axis.ravel() for axis in np.meshgrid(*axes, indexing="ij")], axis=-1)
