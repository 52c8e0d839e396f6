"""Whether there is one best setting at all: settings that do as well, and places that rival each other."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import label

from dialopt.decisions.candidates import Candidates
from dialopt.decisions.region import Region
from dialopt.decisions.stop import CLOSE, SURE_ENOUGH
from dialopt.model.table import Floats
from dialopt.trade.recipe import Recipe

_FAR = 0.5
"""Share of a dial from which on two settings count as far apart."""
_LEVEL = 0.8
"""Level of the region whose separate parts are looked at."""
_RIVAL_SHARE = 0.2
"""Share of the draws' best settings that makes a part of the region a rival."""


def level_line(lattice: Candidates, liking: Floats) -> tuple[Recipe, Recipe] | None:
    """Two recipes far apart on a dial, both of which are surely enough within half a point of the best; else None.

    liking: of the lattice, (P, C). Many settings lie between them on a rising or level ridge, or along a dial that
    hardly matters. The dial on which they are farthest apart decides, and at either end the recipe most likely close.
    """
    chance = np.mean(liking.max(axis=1, keepdims=True) - liking <= CLOSE, axis=0)
    rows = np.flatnonzero(chance >= SURE_ENOUGH)
    if len(rows) < 2:
        return None
    box = lattice.at.box[rows]
    dial = int(np.argmax(np.ptp(box, axis=0)))
    if np.ptp(box[:, dial]) < _FAR:
        return None
    ends = []
    for end in (box[:, dial].min(), box[:, dial].max()):
        there = rows[np.abs(box[:, dial] - end) < 1e-9]
        ends.append(lattice.recipe(int(there[np.argmax(chance[there])])))
    return ends[0], ends[1]


def rivals(
    lattice: Candidates, mean: Floats, best_rows: np.ndarray, region: Region, sweet_row: int
) -> tuple[Recipe, ...]:
    """The most liked recipe of every other place where the best setting may well lie, the likeliest place first.

    Places are the separate parts of the region; one that holds a good share of the draws' best settings is a rival.
    mean: expected liking of the lattice, (C,). best_rows: the draws' best settings, (P,). sweet_row: the row of the
    lattice nearest to the sweet spot, whose own part is none.
    """
    inside = region.contains(lattice.at.box, _LEVEL)
    parts = np.asarray(label(inside.reshape(lattice.sides), structure=np.ones((3, 3, 3)))[0]).ravel()
    share = np.bincount(parts[best_rows], minlength=parts.max() + 1) / len(best_rows)
    share[[0, parts[sweet_row]]] = 0.0
    found = [int(part) for part in np.argsort(-share, kind="stable") if share[part] >= _RIVAL_SHARE]
    return tuple(lattice.recipe(int(np.argmax(np.where(parts == part, mean, -np.inf)))) for part in found)
