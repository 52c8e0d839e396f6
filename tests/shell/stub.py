"""An engine that answers at once, for tests of words, parsing and the logbook."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import dialopt
from dialopt.engine.advice import Advice, Estimate, PredictedOutcome, SweetSpot
from dialopt.engine.reason import Reason
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

OUTCOME = PredictedOutcome(score=Estimate(mean=6.5, low=4.5, high=8.5), time_s=Estimate(mean=27.0, low=22.0, high=34.0))


class Unmoved:
    """Says the same of every recipe."""

    def predict(self, recipes: list[Recipe]) -> Any:
        return SimpleNamespace(time_s=[OUTCOME.time_s.mean for _ in recipes])

    def predict_outcome(self, recipe: Recipe, level: float) -> PredictedOutcome:
        return OUTCOME


def advise(
    pairing: Pairing,
    shots: list[Shot],
    *,
    seed: int,
    today: Any,
    most_moves: int | None,
    settled: bool = False,
    **_: Any,
) -> Advice:
    """The middle of every dial next; the sweet spot a step beside it, where the grind has one."""
    middle = Recipe(**{field: dial.middle for field, dial in pairing.dials.items()})
    grind = pairing.grinder.grind
    beside = replace(middle, grind=middle.grind - (0 if grind.fixed else grind.step))
    return Advice(
        pairing=pairing,
        next_recipe=middle,
        settled=settled,
        why=Reason(kind="nearest", prob_near_optimal=0.3),
        sweet_spot=SweetSpot(recipe=beside, score=OUTCOME.score, prob_near_optimal=0.3, edges=(), predictive=Unmoved()),
        expected=OUTCOME,
        shots_left=9,
        gp_weight=0.0,
        seed=seed,
        today=today,
        most_moves=most_moves or 1,
        version=dialopt.__version__,
    )
