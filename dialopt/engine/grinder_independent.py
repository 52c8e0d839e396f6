"""The sweet spot in terms that hold on another grinder, whose numbers mean something else."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import replace

from dialopt.engine.advice import Advice
from dialopt.trade.grinder_independent import MARK_S, GrinderIndependent
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

_REACHES = 1.15
"""How far off the mark, as a factor, the nearest setting may run."""
_MOST_SETTINGS = 200


def grinder_independent(advice: Advice, shots: Sequence[Shot]) -> GrinderIndependent:
    """The sweet spot of the advice. shots: those that it rests on."""
    pairing, best = advice.pairing, advice.sweet_spot.recipe
    time_s, yield_g = advice.predict_outcome(best).time_s, pairing.yield_g(best)
    sound = [shot for shot in shots if shot.fault is None and pairing.as_dialled(shot.recipe) == best]
    measured = [shot.tds_pct for shot in sound if shot.tds_pct]
    return GrinderIndependent(
        dose_g=best.dose_g,
        yield_g=yield_g,
        ratio=pairing.ratio_of(best),
        temp_c=best.temp_c,
        time_s=time_s,
        flow_g_s=yield_g / time_s.mean,
        tds_pct=statistics.median(measured) if measured else None,
        steps_finer_than_mark=_steps(advice, best),
        score=advice.sweet_spot.score,
    )


def _steps(advice: Advice, best: Recipe) -> int | None:
    grinder = advice.pairing.grinder
    inputs = grinder.grind.thinned(_MOST_SETTINGS)
    recipes = [replace(best, grind=grind) for grind in inputs]
    off = [abs(math.log(time / MARK_S)) for time in advice.predict(recipes).time_s]
    nearest = min(range(len(off)), key=off.__getitem__)
    if off[nearest] > math.log(_REACHES):
        return None
    return grinder.finer_steps(recipes[nearest].grind, best.grind)
