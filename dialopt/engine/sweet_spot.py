"""The sweet spot: the recipe with the highest expected liking, and how sure it is."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from dialopt.engine.advice import SweetSpot
from dialopt.engine.candidates import Candidates, neighbourhood, on_the_dials
from dialopt.engine.config import Config
from dialopt.engine.interval import central
from dialopt.engine.predictive import PosteriorPredictive
from dialopt.engine.region import Region
from dialopt.engine.scale import on_scale
from dialopt.engine.shape import modes, near_optimal_ridge
from dialopt.model.observations import Floats, inputs
from dialopt.model.posterior import Posterior
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe

_EDGE_SHARE = 0.4
_AT_END = 0.02


def find_sweet_spot(
    *,
    pairing: Pairing,
    posterior: Posterior,
    lattice: Candidates,
    liking: Floats,
    best_rows: np.ndarray,
    hold: Mapping[str, float],
    stands: Recipe | None,
    seed: int,
    config: Config,
) -> SweetSpot:
    """The highest posterior mean, first on the lattice, then on every setting around it.

    liking: of the lattice, on the scale, (P, C). best_rows: where each draw is best, (P,), which make the region.
    stands: the recipe pulled last, or else the bag's own; of recipes that are as good as equal the one nearest to it is
    taken.
    """
    near = neighbourhood(pairing, lattice.recipe(int(np.argmax(liking.mean(axis=0)))), hold, stands)
    near_liking = on_scale(posterior.liking(near.at))
    mean = near_liking.mean(axis=0)
    ties = np.flatnonzero(mean >= mean.max() - config.tie)
    moved = np.zeros(len(ties))
    if stands is not None:
        here = np.array([getattr(stands, name) for name in pairing.dials])
        moved = np.sum(np.abs(near.raw[ties] - here) > 1e-9, axis=1)
    row = int(ties[np.lexsort((-mean[ties], moved))[0]])
    recipe, here = near.recipe(row), near_liking[:, row]
    best_cube = lattice.at.cube[best_rows]
    region = Region(best_cube, lattice.spacing)
    short = np.maximum(np.max(liking, axis=1), here) - here
    best = on_the_dials(pairing, lattice.raw[best_rows], hold, np.random.default_rng([seed, 2]))
    return SweetSpot(
        recipe=recipe,
        score=central(here),
        prob_near_optimal=float(np.mean(short <= config.tolerance)),
        edges=_edges(pairing, recipe, best_cube),
        near_optimal_ridge=near_optimal_ridge(lattice, liking, config),
        modes=modes(lattice, liking.mean(axis=0), best_rows, region, lattice.row(pairing, recipe)),
        predictive=PosteriorPredictive(
            pairing, posterior, region, best, outlier_share=config.model.outlier_share, seed=seed
        ),
    )


def _edges(pairing: Pairing, sweet: Recipe, best_cube: Floats) -> tuple[str, ...]:
    """Dials on whose end the sweet spot sits, with a good share of the draws beside it."""
    cube = inputs(pairing, [sweet]).cube[0]
    edges = []
    for column, (name, dial) in enumerate(pairing.dials.items()):
        at_end = cube[column] < 1e-9 or cube[column] > 1 - 1e-9
        beside = float(np.mean(np.abs(best_cube[:, column] - cube[column]) < _AT_END))
        # Of two settings each is an end.
        if dial.count > 2 and at_end and beside >= _EDGE_SHARE:
            edges.append(name)
    return tuple(edges)
