"""Whether there is one best setting at all: settings that do as well, and places that rival each other."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import label

from dialopt.engine.candidates import Candidates
from dialopt.engine.config import CONFIG, Config
from dialopt.engine.region import Region
from dialopt.model.observations import Floats
from dialopt.trade.recipe import Recipe

_FAR = 0.5
"""Share of a dial from which on two settings count as far apart."""
_UNBROKEN = 0.5
"""Chance of being close that every setting between the ends of a line must have: likelier so than not."""
_LEVEL = 0.8
"""Level of the region whose separate parts are looked at."""
_RIVAL_SHARE = 0.2
"""Share of the draws' best settings that makes a part of the region a rival."""


def near_optimal_ridge(lattice: Candidates, liking: Floats, config: Config = CONFIG) -> tuple[Recipe, Recipe] | None:
    """Two recipes far apart on a dial, both of which are surely enough within half a point of the best; else None.

    liking: of the lattice, (P, C). Many settings lie between them on a rising or level ridge, or along a dial that
    hardly matters: none of that dial's is worse for sure, or they would be two places and no line. The dial on which
    they are farthest apart decides, and at either end the recipe most likely close.
    """
    chance = np.mean(liking.max(axis=1, keepdims=True) - liking <= config.tolerance, axis=0)
    rows = np.flatnonzero(chance >= config.sure_enough)
    if len(rows) < 2:
        return None
    apart = np.ptp(lattice.at.cube[rows], axis=0)
    dial = int(np.argmax(apart))
    if apart[dial] < _FAR or lattice.sides[dial] <= 2:
        return None
    # Of each of that dial's settings the row most likely close, in the order of the dial.
    across = np.moveaxis(np.arange(len(chance)).reshape(lattice.sides), dial, 0).reshape(lattice.sides[dial], -1)
    likeliest = across[np.arange(len(across)), np.argmax(chance[across], axis=1)]
    close = np.flatnonzero(chance[likeliest] >= config.sure_enough)
    line = likeliest[close[0] : close[-1] + 1]
    if (chance[line] < _UNBROKEN).any():
        return None
    ends = sorted((line[0], line[-1]), key=lambda row: float(lattice.at.cube[row, dial]))
    return lattice.recipe(int(ends[0])), lattice.recipe(int(ends[1]))


def modes(
    lattice: Candidates, mean: Floats, best_rows: np.ndarray, region: Region, sweet_row: int
) -> tuple[Recipe, ...]:
    """The most liked recipe of every other place where the best setting may well lie, the likeliest place first.

    Places are the separate parts of the region; one that holds a good share of the draws' best settings is a rival.
    mean: expected liking of the lattice, (C,). best_rows: the draws' best settings, (P,). sweet_row: the row of the
    lattice nearest to the sweet spot, whose own part is none.
    """
    inside = region.contains(lattice.at.cube, _LEVEL)
    parts = np.asarray(label(inside.reshape(lattice.sides), structure=np.ones((3,) * len(lattice.sides)))[0]).ravel()
    share = np.bincount(parts[best_rows], minlength=parts.max() + 1) / len(best_rows)
    share[[0, parts[sweet_row]]] = 0.0
    found = [int(part) for part in np.argsort(-share, kind="stable") if share[part] >= _RIVAL_SHARE]
    return tuple(lattice.recipe(int(np.argmax(np.where(parts == part, mean, -np.inf)))) for part in found)
