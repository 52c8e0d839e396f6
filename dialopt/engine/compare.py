"""Which of two recipes is better, from joint draws of the liking of both."""

from __future__ import annotations

import numpy as np

from dialopt.engine.advice import Comparison
from dialopt.engine.interval import central
from dialopt.engine.scale import on_scale
from dialopt.model.observations import Floats
from dialopt.trade.recipe import Recipe


def compare(one: Recipe, other: Recipe, liking: Floats, level: float = 0.9) -> Comparison:
    """How often the draws like `one` more than `other`, and by how much. liking: of both under each draw, (P, 2).

    Liking is kept to the scale of 0 to 10, as in every prediction: two cups at its end are liked the same.
    """
    more = np.subtract(*on_scale(liking).T)
    chance = np.mean(more > 0) + np.mean(more == 0) / 2
    return Comparison(one=one, other=other, chance_better=float(chance), by=central(more, level))
