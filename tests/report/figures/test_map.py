from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from dialopt.engine.advice import Advice
from dialopt.report.figures.clock import clock_figure, ticks_s
from dialopt.report.figures.map import map_figure
from dialopt.report.lattice import lay_out
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


def test_the_drawn_region_holds_the_chance_it_claims(an_advice: Callable[..., Advice]) -> None:
    advice = an_advice()
    lattice = lay_out(advice)
    plot = map_figure(advice, {}, lattice, "grind", "temp_c").plot
    rank = np.array(next(trace["z"] for trace in plot["data"] if trace.get("name") == "best setting, 90 %"))
    chance = lattice.chance("grind", "temp_c")
    assert chance[rank <= 0.9].sum() == pytest.approx(0.9, abs=0.06)
    assert chance[rank <= 0.5].sum() == pytest.approx(0.5, abs=0.06)


def test_the_slider_starts_where_the_drawing_does(an_advice: Callable[..., Advice]) -> None:
    advice = an_advice()
    figure = map_figure(advice, {}, lay_out(advice), "grind", "temp_c")
    assert figure.slider is not None
    assert figure.slider.labels[figure.slider.start] == "18 g"
    change = figure.slider.changes[figure.slider.start]
    assert change["0"]["z"] == figure.plot["data"][0]["z"]
    assert change["1"]["z"] == figure.plot["data"][1]["z"]


def test_a_slip_far_off_the_dials_is_on_no_picture(an_advice: Callable[..., Advice]) -> None:
    advice = an_advice()
    log = {
        number: Shot(recipe=Recipe(grind=grind, dose_g=18, temp_c=93), time_s=25, score=5)
        for number, grind in ((1, 27), (2, 1800))
    }
    drawn = map_figure(advice, log, lay_out(advice), "grind", "temp_c").plot
    low, high = drawn["layout"]["xaxis"]["range"]
    assert low < 10
    assert 27 < high < 30
    for plot in (drawn, clock_figure(advice, log).plot):
        assert [list(trace["x"]) for trace in plot["data"] if trace.get("name") == "shot tasted"] == [[27]]


def test_a_puck_that_choked_is_marked_on_the_clock_where_it_was_given_up(an_advice: Callable[..., Advice]) -> None:
    advice = an_advice()

    def at(grind: float, time_s: float | None, fault: str | None) -> Shot:
        return Shot(recipe=Recipe(grind=grind, dose_g=18, temp_c=93), time_s=time_s, fault=fault)

    told = "marked at the time at which it was given up"
    log = {1: at(20, 25, None), 2: at(8, 58, "choked"), 3: at(7, None, "choked"), 4: at(18, 12, "channelled")}
    figure = clock_figure(advice, log)
    marks = {trace.get("name"): (list(trace["x"]), list(trace["y"])) for trace in figure.plot["data"]}
    assert marks["shot with a fault"] == ([8], [58])
    assert told in figure.key
    assert told not in clock_figure(advice, {1: log[1], 3: log[3], 4: log[4]}).key


def test_a_wide_range_of_times_takes_few_ticks_and_a_narrow_one_some() -> None:
    assert all(later >= 1.8 * tick for tick, later in pairwise(ticks_s(2, 180)))
    assert sum(24 <= tick <= 33 for tick in ticks_s(24, 33)) == 2
