from __future__ import annotations

from collections.abc import Callable

from dialopt.engine.advice import Advice
from dialopt.report.figures.next_shot import DOTS, next_shot_figure, quantiles


def test_dots_are_sorted_quantiles_stacked_on_half_points(an_advice: Callable[..., Advice]) -> None:
    advice = an_advice()
    outcomes = quantiles(advice)
    assert len(outcomes) == DOTS
    assert outcomes == sorted(outcomes)
    assert outcomes[1] == advice.predict_outcome(advice.next_recipe, 0.85).score.low
    dots = next_shot_figure(advice).plot["data"][0]
    assert len({*zip(dots["x"], dots["y"], strict=True)}) == DOTS
    assert all(abs(x - outcome) <= 0.25 + 1e-9 for x, outcome in zip(dots["x"], outcomes, strict=True))
