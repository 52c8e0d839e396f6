"""The sweet spot: the recipe with the highest expected liking, and how sure it is."""

from __future__ import annotations

import numpy as np

from dialopt.decisions.advice import SweetSpot
from dialopt.decisions.candidates import Candidates, neighbourhood, on_the_dials
from dialopt.decisions.interval import central
from dialopt.decisions.knowledge import BeliefKnowledge
from dialopt.decisions.region import Region
from dialopt.decisions.scale import on_scale
from dialopt.decisions.shape import level_line, rivals
from dialopt.decisions.stop import CLOSE
from dialopt.model.belief import Belief
from dialopt.model.table import Floats, settings
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe

_EDGE_SHARE = 0.4
_AT_END = 0.02


def find_sweet_spot(
    *, pairing: Pairing, belief: Belief, lattice: Candidates, liking: Floats, best_rows: np.ndarray, seed: int
) -> SweetSpot:
    """The highest posterior mean, first on the lattice, then on every setting around it.

    liking: of the lattice, on the scale, (P, C). best_rows: where each draw is best, (P,), which make the region.
    """
    near = neighbourhood(pairing, lattice.recipe(int(np.argmax(liking.mean(axis=0)))))
    near_liking = on_scale(belief.liking(near.at))
    row = int(np.argmax(near_liking.mean(axis=0)))
    recipe, here = near.recipe(row), near_liking[:, row]
    best_box = lattice.at.box[best_rows]
    region = Region(best_box, lattice.spacing)
    short = np.maximum(np.max(liking, axis=1), here) - here
    best = on_the_dials(pairing, lattice.raw[best_rows], np.random.default_rng([seed, 2]))
    return SweetSpot(
        recipe=recipe,
        score=central(here),
        chance_close=float(np.mean(short <= CLOSE)),
        edges=_edges(pairing, recipe, best_box),
        level_line=level_line(lattice, liking),
        rivals=rivals(lattice, liking.mean(axis=0), best_rows, region, lattice.row(pairing, recipe)),
        knowledge=BeliefKnowledge(pairing, belief, region, best, seed),
    )


def _edges(pairing: Pairing, sweet: Recipe, best_box: Floats) -> tuple[str, ...]:
    """Dials on whose end the sweet spot sits, with a good share of the draws beside it."""
    box = settings(pairing, [sweet]).box[0]
    edges = []
    for column, (name, dial) in enumerate(pairing.dials.items()):
        at_end = box[column] < 1e-9 or box[column] > 1 - 1e-9
        beside = float(np.mean(np.abs(best_box[:, column] - box[column]) < _AT_END))
        # Of two settings each is an end.
        if dial.count > 2 and at_end and beside >= _EDGE_SHARE:
            edges.append(name)
    return tuple(edges)
