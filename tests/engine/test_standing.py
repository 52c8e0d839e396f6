from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from dialopt import Advice, Dial, Pairing, Recipe, Shot, advise
from dialopt.engine.grinder_independent import grinder_independent
from dialopt.engine.standing import mark_steps, settings_finer, standing, time_line
from dialopt.trade.grinder_independent import MARK_S


@pytest.fixture
def advice(pairing: Pairing, shots: list[Shot]) -> Advice:
    return advise(pairing, shots)


def test_liking_is_that_of_the_sweet_spot(advice: Advice) -> None:
    liking = standing(advice).liking
    assert liking.mean() == pytest.approx(advice.sweet_spot.score.mean)
    assert np.quantile(liking, [0.05, 0.95]) == pytest.approx(
        [advice.sweet_spot.score.low, advice.sweet_spot.score.high]
    )


def test_each_draw_has_the_shot_time_of_its_own_best_setting(advice: Advice) -> None:
    found, best = standing(advice), advice.sweet_spot.predictive.best()
    for row in (0, 100, len(best) - 1):
        assert found.time_s[row] == advice.sweet_spot.predictive.draws([best[row]]).time_s[row, 0]
        assert (found.dose_g[row], found.temp_c[row]) == (best[row].dose_g, best[row].temp_c)
    assert found.flow_g_s == pytest.approx(advice.pairing.ratio * found.dose_g / found.time_s)


def test_log_time_is_a_line_along_the_grind(advice: Advice) -> None:
    line, spot = time_line(advice), advice.sweet_spot.recipe
    assert line is not None
    for grind in (3.0, 18.0, 39.0):
        time_s = advice.sweet_spot.predictive.draws([replace(spot, grind=grind)]).time_s[:, 0]
        assert line.steps_at(time_s) == pytest.approx(np.full(len(time_s), 40 - grind), abs=1e-6)


@pytest.mark.parametrize("finer", ["down", "up"])
def test_the_mark_is_where_the_shots_say_whichever_way_the_numbers_run(
    pairing: Pairing, shots: list[Shot], finer: str
) -> None:
    """The shots run in 25 s between the settings 18 and 20."""
    grinder = replace(pairing.grinder, finer=finer)
    turned = [
        replace(shot, recipe=replace(shot.recipe, grind=grind if finer == "down" else 40 - grind))
        for shot, grind in ((shot, shot.recipe.grind) for shot in shots)
    ]
    advice = advise(replace(pairing, grinder=grinder), turned)
    (mark,) = settings_finer(grinder, np.array([mark_steps(advice)]))
    assert 17 <= (mark if finer == "down" else 40 - mark) <= 20.5
    steps = grinder_independent(advice, turned).steps_finer_than_mark
    found = standing(advice).steps_finer
    assert steps is not None
    assert found is not None
    assert np.quantile(found, 0.05) <= steps <= np.quantile(found, 0.95)


def test_a_grind_that_cannot_be_set_has_no_line(pairing: Pairing, shots: list[Shot]) -> None:
    fixed = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(18, 18)))
    advice = advise(fixed, [Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), time_s=MARK_S, score=6)])
    assert time_line(advice) is None
    assert standing(advice).steps_finer is None
    assert mark_steps(advice) == 0
