from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from dialopt.decisions.advice import Advice
from dialopt.report.figures.clock import clock_figure
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
