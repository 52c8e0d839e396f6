"""The next shot: a short list of recipes, and the one that is worth most."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dialopt.decisions.candidates import Candidates
from dialopt.decisions.costs import bother, mishap
from dialopt.decisions.lesson import expected_improvement, expected_lesson, worth
from dialopt.model.belief import Belief
from dialopt.model.table import Floats
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

_BY_DRAWS, _BY_HOPE, _BY_MEAN = 24, 8, 6
_CUPS = 200


def best_shot(
    *,
    pairing: Pairing,
    shots: Sequence[Shot],
    belief: Belief,
    lattice: Candidates,
    liking: Floats,
    sweet: Recipe,
    later_cups: float,
    rng: np.random.Generator,
) -> tuple[Recipe, float]:
    """The recipe worth most, and what the best one away from the sweet spot is worth, points.

    liking: of the lattice, (P, C). The short list holds recipes that are best in many draws, that promise most, and
    that are liked most; what they may teach is looked at closely.
    """
    mean = liking.mean(axis=0)
    spots, counts = np.unique(np.argmax(liking, axis=1), return_counts=True)
    by_draws = spots[np.argsort(-counts, kind="stable")]
    by_mean = np.argsort(-mean, kind="stable")
    by_hope = np.argsort(-expected_improvement(mean, liking.std(axis=0), float(mean.max())), kind="stable")
    home = lattice.row(pairing, sweet)
    rows = np.unique([*by_draws[:_BY_DRAWS], *by_hope[:_BY_HOPE], *by_mean[:_BY_MEAN], home])
    cups = np.unique([*by_draws[:_CUPS], *by_mean[: _CUPS // 2]])
    outlook = belief.outlook(lattice.at.rows(rows))
    value = worth(
        lesson=expected_lesson(outlook, liking[:, cups], rng),
        liking=mean[rows],
        best=float(mean.max()),
        bother=bother(shots, lattice.raw[rows]) + mishap(outlook),
        later_cups=later_cups,
    )
    chosen = int(np.argmax(value.total))
    away = rows != home
    test_value = float(np.max(value.total[away])) if away.any() else 0.0
    return (sweet if rows[chosen] == home else lattice.recipe(int(rows[chosen]))), test_value
