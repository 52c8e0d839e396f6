from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from dialopt import Bean, Pairing, Recipe, Shot, advise
from dialopt.model.config import MODEL
from dialopt.model.initial import BREADTH, BROAD_SHARE, InitialDistribution, informed_initial, usual_initial
from dialopt.model.observations import inputs
from dialopt.model.posterior import fit
from dialopt.model.priors import NAMES
from dialopt.model.task_correlation import (
    ROBUST,
    ROBUST_OTHER_BEANS,
    ROBUST_THIS_BAG,
    robust_weight,
    task_correlation,
)
from dialopt.trade.likely_time import TIME_RATIO

K = len(NAMES)


def density(initial: InitialDistribution, points: np.ndarray) -> np.ndarray:
    """Of its normals, worked out by scipy."""
    informative = multivariate_normal(initial.centre, initial.root @ initial.root.T).pdf(points)
    usual = multivariate_normal(np.zeros(K)).pdf(points)
    broad = multivariate_normal(np.zeros(K), BREADTH**2 * np.eye(K)).pdf(points)
    priors = (1 - BROAD_SHARE) * usual + BROAD_SHARE * broad
    return np.asarray(initial.informative * informative + (1 - initial.informative) * priors)


def test_the_usual_initial_distribution_is_the_prior_and_a_broad_share() -> None:
    initial = usual_initial()
    points = initial.draw(4000, np.random.default_rng(0))
    assert np.abs(points.mean(axis=0)).max() < 0.08
    assert points.var(axis=0) == pytest.approx(np.full(K, 1 - BROAD_SHARE + BROAD_SHARE * BREADTH**2), abs=0.15)
    # A point that is far out in one parameter is far out in the others: breadth is of the whole kitchen.
    far = np.linalg.norm(points, axis=1) > np.sqrt(2.2 * K)
    assert far.mean() == pytest.approx(BROAD_SHARE, abs=0.06)
    few = points[::400]
    assert np.diff(initial.log_density(few)) == pytest.approx(np.diff(np.log(density(initial, few))))


def test_histories_that_taught_nothing_change_nothing_however_few_their_draws() -> None:
    rng = np.random.default_rng(1)
    histories = [(usual_initial().draw(MODEL.earlier_draws, rng), np.full(K, 0.95)) for _ in range(4)]
    initial = informed_initial(histories, robust_weight=0.3)
    assert np.abs(initial.centre).max() < 0.1
    assert np.diagonal(initial.root @ initial.root.T).min() > 0.9
    assert np.diagonal(initial.root @ initial.root.T).mean() > 0.98


def test_a_history_at_another_ratio_is_read_at_this_one(pairing: Pairing) -> None:
    """Stopped at 1:1 after 15 s, whether the cup was weighed or not; at 1:2.5, wetted no longer, that is 32.7 s."""
    short = replace(pairing, ratio=1.0)
    long = replace(pairing, ratio=2.5)
    recipe = Recipe(grind=20, dose_g=18, temp_c=92)
    for yield_g in (None, 18.0):
        informative = [Shot(recipe=recipe, time_s=15, yield_g=yield_g)] * 5
        posterior = fit(long, [], [(short, informative)], np.random.default_rng(0))
        log_time = np.median(posterior.median_log_time(inputs(long, [recipe])))
        assert np.exp(log_time) == pytest.approx(15 * 2.5**TIME_RATIO, rel=0.1)


def test_what_is_shared_is_kept_and_what_is_not_is_forgotten() -> None:
    draws = 1.0 + 0.2 * np.random.default_rng(1).standard_normal((5000, K))
    shared = np.zeros(K)
    shared[0], shared[1] = 1.0, 0.6
    initial = informed_initial([(draws, shared)], robust_weight=0.3)
    variance = np.diagonal(initial.root @ initial.root.T)
    # What is left of its precision of 25 without the priors that it was read with, on top of the usual ones' 1.
    whole = 1 / (25 - 1 / (1 - BROAD_SHARE + BROAD_SHARE * BREADTH**2) + 1)
    assert initial.centre[:3] == pytest.approx([25 * whole, 0.6 * 25 * whole, 0.0], abs=0.01)
    assert variance[:3] == pytest.approx([whole, 0.36 * whole + 1 - 0.36, 1.0], rel=0.04)


def test_two_histories_say_more_than_one_and_the_density_is_the_mixture() -> None:
    draws = 1.0 + 0.5 * np.random.default_rng(1).standard_normal((5000, K))
    one = informed_initial([(draws, np.full(K, 0.8))], robust_weight=0.3)
    two = informed_initial([(draws, np.full(K, 0.8))] * 2, robust_weight=0.3)
    assert np.all(np.diagonal(two.root @ two.root.T) < np.diagonal(one.root @ one.root.T))
    points = one.draw(10, np.random.default_rng(3))
    assert np.diff(one.log_density(points)) == pytest.approx(np.diff(np.log(density(one, points))))
    many = one.draw(4000, np.random.default_rng(4))
    assert one.informative == 0.7
    assert many.mean(axis=0) == pytest.approx(one.informative * one.centre, abs=0.1)


def of(shared: np.ndarray, name: str) -> float:
    return float(shared[NAMES.index(name)])


def test_kinship_follows_what_is_in_common(pairing: Pairing) -> None:
    next_bag = replace(pairing, bean=Bean(name="another"))
    new_burrs = replace(pairing, grinder=replace(pairing.grinder, burrs="set 2"))
    other_grinder = replace(next_bag, grinder=replace(pairing.grinder, name="another"))
    assert of(task_correlation(pairing, next_bag), "time_grind") > 0.9
    assert of(task_correlation(pairing, next_bag), "time_best") < 0.5
    assert (
        0.0
        < of(task_correlation(pairing, new_burrs), "time_place")
        < of(task_correlation(pairing, next_bag), "time_place")
    )
    assert of(task_correlation(pairing, new_burrs), "time_best") > 0.9
    assert of(task_correlation(pairing, other_grinder), "time_grind") == 0.0
    assert of(task_correlation(pairing, other_grinder), "taster_sd") > 0.6
    assert of(task_correlation(pairing, replace(pairing, drink="milk")), "over_slope") < 0.5
    for other in (next_bag, new_burrs, other_grinder):
        assert np.all((task_correlation(pairing, other) >= 0) & (task_correlation(pairing, other) <= 1))


def test_the_very_same_bean_is_trusted_with_more_of_the_start(pairing: Pairing) -> None:
    another, older = (
        replace(pairing, bean=Bean(name="another")),
        replace(pairing, bean=replace(pairing.bean, bag_g=500)),
    )
    assert robust_weight(pairing, []) == robust_weight(pairing, [another, older]) == ROBUST
    assert robust_weight(pairing, [another]) == ROBUST_OTHER_BEANS > ROBUST


def test_only_new_water_leaves_more_of_the_initial_distribution_informative_than_new_burrs_or_a_new_bag(
    pairing: Pairing,
) -> None:
    burrs = replace(pairing, grinder=replace(pairing.grinder, burrs="set 2"))
    bag = replace(pairing, bean=replace(pairing.bean, opened_on=date(2031, 4, 1)))
    assert robust_weight(replace(pairing, water="spring"), [pairing]) == ROBUST_THIS_BAG < ROBUST
    assert robust_weight(replace(pairing, water="spring"), [burrs, pairing]) == ROBUST_THIS_BAG
    assert robust_weight(burrs, [pairing]) == robust_weight(bag, [pairing]) == ROBUST


def test_histories_that_teach_nothing_leave_the_usual_start(pairing: Pairing) -> None:
    taught_nothing = usual_initial().draw(512, np.random.default_rng(0))
    initial = informed_initial([(taught_nothing, np.full(len(NAMES), 0.9))], robust_weight=ROBUST)
    assert initial.informative == 0.0
    silent = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93))
    mute, cold = advise(pairing, [], earlier=[(pairing, [silent])]), advise(pairing, [])
    assert (mute.next_recipe, mute.sweet_spot.prob_near_optimal) == (
        cold.next_recipe,
        cold.sweet_spot.prob_near_optimal,
    )


def lowered(old: Pairing, new: Pairing) -> set[str]:
    """The parameters that hold less on `new` than on the pairing itself."""
    return {
        name
        for name, own, now in zip(NAMES, task_correlation(old, old), task_correlation(old, new), strict=True)
        if now < own
    }


def test_another_machine_basket_or_taster_lowers_only_what_it_moves(pairing: Pairing) -> None:
    machine = replace(pairing, machine=replace(pairing.machine, name="another"))
    assert lowered(pairing, machine) == {"temp_best", "time_place", "time_best"}
    basket = replace(pairing, basket=replace(pairing.basket, name="another"))
    assert lowered(pairing, basket) == {"time_place", "time_dose", "time_best", "dose_best", "pull_dose"}
    for other in (machine, basket):
        assert np.all(task_correlation(pairing, other) >= 0.75 * task_correlation(pairing, pairing)), "modest"
    theirs = task_correlation(replace(pairing, taster="Ada"), pairing)
    assert {of(theirs, name) for name in NAMES if name.startswith(("taster", "note"))} == {0.0}
    assert of(theirs, "time_place") == of(task_correlation(pairing, pairing), "time_place")
    assert 0.5 < of(theirs, "time_best") < of(task_correlation(pairing, pairing), "time_best")


@pytest.mark.slow
def test_a_history_that_somebody_else_scored_teaches_the_shot_time_and_not_the_palate(
    pairing: Pairing, shots: list[Shot]
) -> None:
    # Somebody who notes every cup as bitter, and likes none of them much.
    informative = [replace(shot, score=2.0, balance=3.0) for shot in shots]
    nothing, own, theirs = (
        advise(pairing, [], earlier=earlier).palate
        for earlier in ([], [(pairing, informative)], [(replace(pairing, taster="Ada"), informative)])
    )
    assert nothing is not None
    assert own is not None
    assert theirs is not None
    assert own.offset.mean > nothing.offset.mean + 0.2
    assert theirs.offset.mean == pytest.approx(nothing.offset.mean, abs=0.15)
    assert theirs.noise.mean == pytest.approx(nothing.noise.mean, abs=0.1)


def test_a_new_bag_starts_from_what_the_grinder_has_shown(pairing: Pairing, shots: list[Shot]) -> None:
    next_bag = replace(pairing, bean=Bean(name="another"))
    cold, warm = advise(next_bag, []), advise(next_bag, [], earlier=[(pairing, shots)])
    assert abs(warm.next_recipe.grind - 17) <= 4
    assert warm.sweet_spot.score.mean > cold.sweet_spot.score.mean + 0.5
    recipe = [Recipe(grind=17, dose_g=18, temp_c=93)]
    assert warm.predict(recipe).time_s == pytest.approx([28], rel=0.2)
    assert warm.predict(recipe).score_sd[0] < cold.predict(recipe).score_sd[0]


@pytest.mark.slow
def test_a_wrong_history_is_given_up(pairing: Pairing, shots: list[Shot]) -> None:
    moved = [replace(shot, recipe=replace(shot.recipe, grind=shot.recipe.grind + 14)) for shot in shots]
    warm = advise(replace(pairing, bean=Bean(name="another")), shots, earlier=[(pairing, moved)])
    assert abs(warm.sweet_spot.recipe.grind - advise(pairing, shots).sweet_spot.recipe.grind) <= 2
