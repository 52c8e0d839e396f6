"""The sweet spot in terms that hold on another grinder, whose numbers mean something else."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from dialopt.engine.advice import Advice, Estimate
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

MARK_S = 25.0
"""Shot time from which the grind is counted, s: 25 ± 5 s for the Italian institute's espresso (second-hand)."""
_REACHES = 1.15
"""How far off the mark, as a factor, the nearest setting may run."""
_MOST_SETTINGS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class GrinderIndependent:
    """dose_g, yield_g: coffee in and cup out, g. ratio: the second over the first. temp_c: brew water, °C.

    time_s: expected shot time with its 90 % interval, s. flow_g_s: cup over expected time, g/s. tds_pct: strength as
    measured there, % of beverage; None where it never was. steps_finer_than_mark: grind steps from the setting that
    runs nearest to `MARK_S` at this dose and temperature; None where none comes near. score: liking with its 90 %
    interval.
    """

    dose_g: float
    yield_g: float
    ratio: float
    temp_c: float
    time_s: Estimate
    flow_g_s: float
    tds_pct: float | None
    steps_finer_than_mark: int | None
    score: Estimate


def grinder_independent(advice: Advice, shots: Sequence[Shot]) -> GrinderIndependent:
    """The sweet spot of the advice. shots: those that it rests on."""
    pairing, best = advice.pairing, advice.sweet_spot.recipe
    time_s, yield_g = advice.predict_outcome(best).time_s, pairing.yield_g(best)
    sound = [shot for shot in shots if shot.fault is None and pairing.as_dialled(shot.recipe) == best]
    measured = [shot.tds_pct for shot in sound if shot.tds_pct]
    return GrinderIndependent(
        dose_g=best.dose_g,
        yield_g=yield_g,
        ratio=pairing.ratio,
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
    recipes = [Recipe(grind=grind, dose_g=best.dose_g, temp_c=best.temp_c) for grind in inputs]
    off = [abs(math.log(time / MARK_S)) for time in advice.predict(recipes).time_s]
    nearest = min(range(len(off)), key=off.__getitem__)
    if off[nearest] > math.log(_REACHES):
        return None
    return grinder.finer_steps(recipes[nearest].grind, best.grind)
