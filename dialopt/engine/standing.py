"""A pairing's sweet spot as draws, in terms that can be held against those of another pairing."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from dialopt.engine.advice import Advice
from dialopt.model.observations import Floats
from dialopt.trade.grinder_independent import MARK_S
from dialopt.trade.kit import Grinder
from dialopt.trade.recipe import Recipe


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """P equally likely draws of each, (P,).

    liking: at the sweet spot. time_s, flow_g_s, temp_c, dose_g: where the best cup lies, at draws of the best setting.
    steps_finer: grind steps of that setting from the one that runs in `MARK_S` at the same dose and temperature; None
    for a grind that can't be set.
    """

    liking: Floats
    time_s: Floats
    flow_g_s: Floats
    temp_c: Floats
    dose_g: Floats
    steps_finer: Floats | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockLine:
    """The shot time along the grind dial under P draws, (P,): log time is linear in the grind (`model.mean_function`).

    coarsest: log s at the coarse end. a_step: what one step finer adds, log s.
    """

    coarsest: Floats
    a_step: Floats

    def steps_at(self, time_s: float | Floats) -> Floats:
        """Steps from the coarse end to where the clock runs so long, whole or not, on the dial or beyond."""
        return np.asarray((np.log(time_s) - self.coarsest) / self.a_step)


def standing(advice: Advice) -> Standing:
    """The sweet spot of the advice."""
    pairing, predictive = advice.pairing, advice.sweet_spot.predictive
    best = list(predictive.best())
    places = {recipe: number for number, recipe in enumerate(dict.fromkeys(best))}
    columns = np.array([places[recipe] for recipe in best])
    time_s = predictive.draws(list(places)).time_s[np.arange(len(best)), columns]
    dose_g = np.array([recipe.dose_g for recipe in best])
    line = time_line(advice)
    return Standing(
        liking=predictive.draws([advice.sweet_spot.recipe]).liking[:, 0],
        time_s=time_s,
        flow_g_s=np.array([pairing.ratio_of(recipe) for recipe in best]) * dose_g / time_s,
        temp_c=np.array([recipe.temp_c for recipe in best]),
        dose_g=dose_g,
        steps_finer=None if line is None else np.log(time_s / MARK_S) / line.a_step,
    )


def time_line(advice: Advice, at: Recipe | None = None) -> ClockLine | None:
    """The clock at the dose and temperature of a recipe, by default the sweet spot; None for a grind of one setting."""
    grinder, at = advice.pairing.grinder, at or advice.sweet_spot.recipe
    if grinder.grind.fixed:
        return None
    ends = (grinder.grind.low, grinder.grind.high) if grinder.finer == "up" else (grinder.grind.high, grinder.grind.low)
    recipes = [replace(at, grind=end) for end in ends]
    coarse, fine = np.log(advice.sweet_spot.predictive.draws(recipes).time_s).T
    return ClockLine(coarsest=coarse, a_step=(fine - coarse) / (grinder.grind.count - 1))


def mark_steps(advice: Advice) -> float:
    """Steps from the coarse end to where the clock most likely runs in `MARK_S`; 0 for a grind that can't be set."""
    line = time_line(advice)
    return 0.0 if line is None else float(np.median(line.steps_at(MARK_S)))


def settings_finer(grinder: Grinder, steps: Floats) -> Floats:
    """Grinds in the grinder's own numbers, from steps from the coarse end; whole or not, on the dial or beyond."""
    dial = grinder.grind
    return dial.low + dial.step * steps if grinder.finer == "up" else dial.high - dial.step * steps
