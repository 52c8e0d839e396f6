from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from dialopt.report.figures.along_dial import along, liking_figure, shot_time_figure, ticks_s
from dialopt.report.figures.by_shot import DOTS, next_shot_figure, quantiles
from dialopt.report.figures.map import map_figure
from dialopt.report.lattice import lay_out
from dialopt.trade.dial import Dial
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


def at(grind, time_s=25, **rest):
    return Shot(recipe=Recipe(grind=grind, dose_g=18, temp_c=93), time_s=time_s, **rest)


def test_the_drawn_region_holds_the_chance_it_claims(an_advice):
    advice = an_advice()
    lattice = lay_out(advice)
    plot = map_figure(advice, {}, lattice, "grind", "temp_c").plot
    rank = np.array(next(trace["z"] for trace in plot["data"] if trace.get("name") == "best setting, 90 %"))
    chance = lattice.chance("grind", "temp_c")
    assert chance[rank <= 0.9].sum() == pytest.approx(0.9, abs=0.06)
    assert chance[rank <= 0.5].sum() == pytest.approx(0.5, abs=0.06)


def test_the_slider_starts_where_the_drawing_does(an_advice):
    advice = an_advice()
    figure = map_figure(advice, {}, lay_out(advice), "grind", "temp_c")
    assert figure.slider.labels[figure.slider.start] == "18 g"
    change = figure.slider.changes[figure.slider.start]
    assert [change[trace]["z"] for trace in ("0", "1")] == [figure.plot["data"][trace]["z"] for trace in (0, 1)]


def test_a_typing_mistake_far_off_the_dials_is_on_no_picture(an_advice):
    advice, log = an_advice(), {1: at(27, score=5), 2: at(1800, score=5)}
    drawn = map_figure(advice, log, lay_out(advice), "grind", "temp_c").plot
    low, high = drawn["layout"]["xaxis"]["range"]
    assert low < 10
    assert 27 < high < 30
    for plot in (drawn, shot_time_figure(advice, log).plot):
        assert [list(trace["x"]) for trace in plot["data"] if trace.get("name") == "shot tasted"] == [[27]]


def test_a_puck_that_choked_is_marked_at_the_time_at_which_it_was_given_up(an_advice):
    said = "marked at the time at which it was given up"
    log = {1: at(20), 2: at(8, 58, fault="choked"), 3: at(7, None, fault="choked"), 4: at(18, 12, fault="channelled")}
    figure = shot_time_figure(an_advice(), log)
    marks = {trace.get("name"): (list(trace["x"]), list(trace["y"])) for trace in figure.plot["data"]}
    assert marks["shot with a fault"] == ([8], [58])
    assert said in figure.key
    assert said not in shot_time_figure(an_advice(), {1: log[1], 3: log[3], 4: log[4]}).key


def test_a_grind_that_cannot_be_set_has_one_bar_of_shot_time(a_pairing, an_advice):
    advice = an_advice(a_pairing(grind=Dial(18, 18)))
    figure = shot_time_figure(advice, {})
    (bar,) = figure.plot["data"]
    time_s = advice.predict_outcome(advice.sweet_spot.recipe).time_s
    assert bar["y"][0] + bar["error_y"]["array"][0] == pytest.approx(time_s.high, abs=1e-3)
    assert bar["y"][0] - bar["error_y"]["arrayminus"][0] == pytest.approx(time_s.low, abs=1e-3)
    assert figure.alt == "At the sweet spot a shot takes about 28 s. No shot was timed."


@pytest.mark.parametrize(("time_s", "shortest"), [(25, 3), (2, 2)])
def test_shot_times_are_drawn_from_what_a_shot_may_take_on(a_pairing, an_advice, time_s, shortest):
    advice = an_advice(a_pairing(grind=Dial(0, 90, 1)))
    axis = shot_time_figure(advice, {1: at(20, time_s)}).plot["layout"]["yaxis"]
    assert 10 ** axis["range"][0] == pytest.approx(shortest / 1.1, abs=0.01)
    assert 10 ** axis["range"][1] > advice.predict_outcome(Recipe(grind=0, dose_g=18, temp_c=93)).time_s.high


def test_a_wide_range_of_times_takes_few_ticks_and_a_narrow_one_some():
    assert all(later >= 1.8 * tick for tick, later in pairwise(ticks_s(2, 180)))
    assert sum(24 <= tick <= 33 for tick in ticks_s(24, 33)) == 2


def test_the_bands_of_liking_lie_inside_each_other(an_advice):
    cup_low, cup_high, low, high, mean, _ = (
        np.array(trace["y"]) for trace in liking_figure(an_advice(), "grind").plot["data"]
    )
    assert all((lower <= upper + 1e-3).all() for lower, upper in pairwise((cup_low, low, mean, high, cup_high)))


def test_a_fine_dial_is_thinned_around_the_sweet_spot(a_pairing, an_advice):
    advice = an_advice(a_pairing(grind=Dial(0.5, 100, 0.1)))
    recipes = along(advice, "grind")
    assert len(recipes) <= 61
    assert advice.sweet_spot.recipe in recipes
    assert {(recipe.dose_g, recipe.temp_c) for recipe in recipes} == {(18.0, 93.0)}


def test_dots_are_sorted_quantiles_stacked_on_half_points(an_advice):
    advice = an_advice()
    outcomes = quantiles(advice)
    assert len(outcomes) == DOTS
    assert outcomes == sorted(outcomes)
    assert outcomes[1] == advice.predict_outcome(advice.next_recipe, 0.85).score.low
    dots = next_shot_figure(advice).plot["data"][0]
    assert len({*zip(dots["x"], dots["y"], strict=True)}) == DOTS
    assert all(abs(x - outcome) <= 0.25 + 1e-9 for x, outcome in zip(dots["x"], outcomes, strict=True))
