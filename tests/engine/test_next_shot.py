from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from dialopt import Dial, Pairing, Recipe, Shot, advise
from dialopt.engine.acceptable import clear_of_chokes, left_alone, moved_dials, trust_region
from dialopt.engine.candidates import candidates
from dialopt.engine.config import CONFIG, Config
from dialopt.engine.costs import mishap, switching
from dialopt.engine.next_shot import as_noted
from dialopt.errors import BadValue
from dialopt.model.observations import Floats
from dialopt.model.outcome_model import OutcomeModel
from tests.engine.outcomes import outcome_model

pytestmark = pytest.mark.slow

GRINDS = np.arange(41.0)


def pull(grind: float, time_s: float = 25.0, score: float | None = 6.0) -> Shot:
    return Shot(recipe=Recipe(grind=grind, dose_g=18, temp_c=93), yield_g=36, time_s=time_s, score=score)


def test_reach_grows_from_what_was_pulled(pairing: Pairing) -> None:
    one = GRINDS[trust_region(pairing, [pull(20)], GRINDS)]
    assert (one.min(), one.max()) == (20 - 40 * CONFIG.first_reach, 20 + 40 * CONFIG.first_reach)
    two = GRINDS[trust_region(pairing, [pull(20), pull(12)], GRINDS)]
    assert (two.min(), two.max()) == (12 - 40 * CONFIG.later_reach, 20 + 40 * CONFIG.later_reach)
    unheard = GRINDS[trust_region(pairing, [pull(20), replace(pull(2, score=None), time_s=None)], GRINDS)]
    assert unheard.min() == one.min()


def test_as_long_as_every_shot_ran_astray_the_reach_stays_what_it_was(pairing: Pairing) -> None:
    for astray, ratio in ((10.0, 2.0), (60.0, 2.0), (28.0, 4.5), (40.0, 1.0)):
        of = replace(pairing, ratio=ratio)
        near = GRINDS[trust_region(of, [pull(24, astray), pull(23, astray)], GRINDS)]
        assert (near.min(), near.max()) == (23 - 40 * CONFIG.first_reach, 24 + 40 * CONFIG.first_reach)
    for one, other in ((10.0, 20.0), (60.0, 30.0), (10.0, 60.0)):
        near = GRINDS[trust_region(pairing, [pull(24, one), pull(23, other)], GRINDS)]
        assert near.min() == 23 - 40 * CONFIG.later_reach


def test_what_choked_counts_where_nothing_else_ran(pairing: Pairing) -> None:
    choked = Shot(recipe=Recipe(grind=20, dose_g=18, temp_c=93), fault="choked")
    alone = GRINDS[trust_region(pairing, [choked], GRINDS)]
    assert (alone.min(), alone.max()) == (20 - 40 * CONFIG.first_reach, 20 + 40 * CONFIG.first_reach)
    assert trust_region(pairing, [replace(choked, fault="other")], GRINDS).all(), "it tells nothing of the grind"
    after = [pull(30), pull(28), choked]
    assert GRINDS[trust_region(pairing, after, GRINDS)].min() == 28 - 40 * CONFIG.later_reach, (
        "no closer to what choked"
    )


def test_after_a_choked_first_shot_it_goes_a_careful_step_coarser(pairing: Pairing) -> None:
    choked = [Shot(recipe=Recipe(grind=20, dose_g=18, temp_c=93), fault="choked")] * 2
    advice = advise(pairing, choked)
    assert 20 < advice.next_recipe.grind <= 20 + 40 * CONFIG.first_reach
    assert advice.reason == "The puck choked, so this is a careful step to where the best cup is likelier."


def test_after_two_good_cups_no_poor_one_is_asked_for(pairing: Pairing) -> None:
    for seed in range(3):
        advice = advise(pairing, [pull(18, 28, 7.0)] * 2, seed=seed)
        best = advice.sweet_spot.predictive.predict_outcome(advice.sweet_spot.recipe, 0.9).score
        assert advice.expected.score.mean > best.mean - 1.3


def test_after_one_fast_sour_shot_every_seed_asks_for_about_the_same(pairing: Pairing) -> None:
    sour = replace(pull(24, 17, 5.0), balance=-2)
    asked = [advise(pairing, [sour], seed=seed).next_recipe for seed in range(5)]
    for recipe in asked:
        assert recipe.dose_g == 18, "no lattice setting is nearer to the dose that was pulled"
        assert 24 - 40 * CONFIG.first_reach <= recipe.grind < 24
        assert 90 <= recipe.temp_c <= 94
    assert max(recipe.grind for recipe in asked) - min(recipe.grind for recipe in asked) <= 4


def test_a_dial_that_the_lattice_cannot_tell_from_where_it_stands_is_left_alone(pairing: Pairing) -> None:
    fine = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(0, 199, 1)))
    for of, last in (
        (pairing, Recipe(grind=20, dose_g=18.3, temp_c=93)),
        (fine, Recipe(grind=101, dose_g=16.6, temp_c=88)),
    ):
        lattice = candidates(of, {})
        here = lattice.row(of, last)
        rows = np.arange(len(lattice.raw))
        asked = left_alone(of, last, lattice, rows)
        assert tuple(asked[here]) == (last.grind, last.dose_g, last.temp_c, 2.0)
        for column, name in enumerate(of.dials):
            stands = lattice.raw[:, column] == lattice.raw[here, column]
            assert set(asked[stands, column]) == {getattr(of.at_ratio(last), name)}
            assert (asked[~stands, column] == lattice.raw[~stands, column]).all()
    lattice = candidates(pairing, {})
    beyond = left_alone(pairing, Recipe(grind=20, dose_g=21, temp_c=93), lattice, np.arange(len(lattice.raw)))
    assert beyond[:, 1].max() == 20, "never off the dials"


def test_what_is_left_alone_is_no_switching(pairing: Pairing) -> None:
    """Where turning the grind costs more than any cup is worth, it stays between the lattice's settings."""
    fine = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(0, 199, 1)))
    assert 101 not in candidates(fine, {}).raw[:, 0]
    advice = advise(fine, [pull(101, 27, 7.0)], config=replace(CONFIG, grind_moved=1e6, price_cups=-1e9))
    assert advice.next_recipe.grind == 101


def test_between_what_ran_and_what_choked_tests_keep_to_the_near_half(pairing: Pairing) -> None:
    """With hardly less coffee; the coarser half is the near one, whichever way the numbers run."""
    raw = np.array([(grind, dose, 93.0, 2.0) for dose in (18.0, 17.5, 17.0) for grind in (12, 13, 14, 15, 16)])
    choke, ran = replace(pull(10, score=None), fault="choked"), pull(17)
    near = [False, False, True, True, True]
    assert clear_of_chokes(pairing, [ran, choke], raw).tolist() == near * 2 + [True] * 5
    assert clear_of_chokes(pairing, [pull(17, score=None), choke], raw).tolist() == near * 2 + [True] * 5, "timed ran"
    assert clear_of_chokes(pairing, [ran, choke, pull(14)], raw).all(), "as careful steps succeed, nearer"
    assert clear_of_chokes(pairing, [ran, choke, pull(10)], raw).all(), "as fine has run, so that puck was an odd one"
    assert clear_of_chokes(pairing, [choke], raw).all(), "nothing ran: the careful step is bound enough"
    up = replace(pairing, grinder=replace(pairing.grinder, finer="up"))
    assert clear_of_chokes(up, [pull(10), replace(pull(17, score=None), fault="choked")], raw).tolist() == [
        *[True, True, False, False, False] * 2,
        *[True] * 5,
    ]


def test_after_a_choke_no_test_is_hardly_coarser(pairing: Pairing) -> None:
    log = [
        replace(pull(16, 22, 5.5), balance=-1),
        Shot(recipe=Recipe(grind=12, dose_g=17.5, temp_c=93), fault="choked"),
        replace(pull(15, 24, 6.5), balance=-1),
    ]
    for seed in range(4):
        asked = advise(pairing, log, seed=seed).next_recipe
        assert asked.grind >= 14 or asked.dose_g < 0.95 * 17.5


def test_where_all_lies_beyond_a_choke_something_is_asked_for_all_the_same(pairing: Pairing) -> None:
    log = [pull(41, 20, 6.0), Shot(recipe=Recipe(grind=40, dose_g=17, temp_c=93), fault="choked")]
    assert not clear_of_chokes(pairing, log, np.array([(40.0, 18.0, 93.0, 2.0), (39.0, 18.0, 93.0, 2.0)])).any()
    assert pairing.check(advise(pairing, log).next_recipe)


def test_something_is_always_within_reach(pairing: Pairing) -> None:
    coarse = np.array([0.0, 40.0])
    assert trust_region(pairing, [pull(20)], coarse).any()
    far = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(0, 1, 1)))
    assert trust_region(far, [pull(30)], np.array([0.0, 1.0])).any()


def test_no_leap_to_the_end_of_the_dial_after_a_fast_shot(pairing: Pairing) -> None:
    """Two fast shots, the second likely channelled: a barista goes finer in steps."""
    advice = advise(pairing, [pull(21, 16, 4.5), pull(11, 20, 4.0)])
    assert 11 - 40 * CONFIG.later_reach <= advice.next_recipe.grind < 21


def test_the_first_shot_is_the_sweet_spot(pairing: Pairing) -> None:
    for seed in range(3):
        advice = advise(pairing, [], seed=seed)
        assert advice.next_recipe == advice.sweet_spot.recipe


def test_a_mistyped_shot_time_is_survived(pairing: Pairing, shots: list[Shot]) -> None:
    slipped = [*shots, replace(shots[2], time_s=280)]
    recipe = [Recipe(grind=17, dose_g=18, temp_c=93)]
    assert advise(pairing, slipped).predict(recipe).time_s == pytest.approx([28], rel=0.12)


def test_a_grind_that_is_nowhere_near_the_dial_is_not_read(pairing: Pairing, shots: list[Shot]) -> None:
    lost = [*shots, replace(shots[2], recipe=replace(shots[2].recipe, grind=1e9))]
    assert advise(pairing, lost).sweet_spot.score == advise(pairing, shots).sweet_spot.score


def test_the_switching_cost_counts_the_dials_that_move() -> None:
    """A dose and a ratio cost nothing, a temperature the more the farther it lies."""
    rows = [(20, 18, 93, 2), (21, 18, 93, 2), (20, 18, 92, 2), (20, 18, 96, 2), (21, 19, 92, 2), (20, 18, 93, 2.5)]
    raw = np.array(rows, dtype=float)
    grind, degree, three = CONFIG.grind_moved, CONFIG.temp_degree, 3 * CONFIG.temp_degree
    assert switching([pull(20)], raw) == pytest.approx(
        [0, grind, CONFIG.temp_moved + degree, CONFIG.temp_moved + three, grind + CONFIG.temp_moved + degree, 0]
    )
    assert switching([], raw) == pytest.approx(np.zeros(6))


def test_a_puck_that_is_sure_to_choke_costs_a_mishap() -> None:
    log_time = np.log(np.array([[28.0, 200.0, 3.0]]))
    shown = outcome_model(np.zeros((1, 3)), log_time=log_time, time_sd=0.06)
    farther = np.array([0, np.log2(200 / 60), np.log2(9 / 3)])
    assert mishap(shown) == pytest.approx(CONFIG.mishap * (np.array([0, 1, 1]) + farther), abs=1e-6)


def moved(pairing: Pairing, shots: Sequence[Shot], **options: object) -> tuple[list[str], Recipe]:
    recipe = advise(pairing, shots, **options).next_recipe  # type: ignore[arg-type]  # options of advise
    return moved_dials(pairing, shots[-1].recipe, recipe), recipe


def test_until_the_shot_time_is_right_the_grind_moves_alone(pairing: Pairing) -> None:
    for time_s, balance, finer in ((13, -2, True), (17, -1, True), (55, 2, False)):
        for seed in range(3):
            names, recipe = moved(pairing, [replace(pull(20, time_s, 5.0), balance=balance)], seed=seed)
            assert names == ["grind"]
            assert (recipe.grind < 20) is finer


def test_one_dial_at_a_time_and_more_where_that_is_asked_for(pairing: Pairing) -> None:
    log = [replace(pull(24, 17, 5.0), balance=-2), pull(18, 27, 6.5), replace(pull(16, 31, 6.0), balance=1)]
    away = [*log, replace(pull(18, 27, 6.0), recipe=Recipe(grind=18, dose_g=19.5, temp_c=95))]
    for shots in (log, away):
        for seed in range(3):
            if not advise(pairing, shots, seed=seed).settled:
                assert len(moved(pairing, shots, seed=seed)[0]) <= 1
            assert len(moved(pairing, shots, seed=seed, most_moves=2, counts="recipe")[0]) <= 2
    most = [len(moved(pairing, away[:count], seed=1, most_moves=3, counts="recipe")[0]) for count in (1, 2, 3, 4)]
    assert max(most) > 1


def test_a_grind_that_has_nowhere_to_go_leaves_the_move_to_another_dial(pairing: Pairing) -> None:
    fixed = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(20, 20)))
    advice = advise(fixed, [replace(pull(20, 12, 4.0), balance=-2)])
    assert advice.settled or moved_dials(fixed, Recipe(grind=20, dose_g=18, temp_c=93), advice.next_recipe)


def test_where_only_the_recipe_counts_tests_are_bolder(pairing: Pairing) -> None:
    """A test that is spat out may be a poor cup."""
    log = [pull(20, 24, 6.0), pull(18, 28, 7.0)]
    drunk, spat = (
        sum(advise(pairing, log, seed=seed, counts=counts).expected.score.mean for seed in range(4))
        for counts in ("cups", "recipe")
    )
    assert spat < drunk


def test_a_spat_cup_costs_next_to_nothing_for_its_taste(pairing: Pairing) -> None:
    """A gain of half of what the poorest cup in question lacks: it isn't drunk for that, but spat out it is."""

    def gradient(outcomes: OutcomeModel, cups: Floats, rng: np.random.Generator, config: Config) -> Floats:
        gap = cups.mean(axis=0).max() - outcomes.liking.mean(axis=0)
        return np.where(gap == gap.max(), 0.5 * gap / CONFIG.recipe_cups, 0.0)

    testing = replace(CONFIG, gradient=gradient, mishap=0.0, price_cups=-1e9)
    log = [pull(20, 24, 6.0), pull(18, 28, 7.0)]
    drunk, spat, dear = (
        advise(pairing, log, counts=counts, most_moves=1, config=config)
        for counts, config in (
            ("cups", testing),
            ("recipe", testing),
            ("recipe", replace(testing, spat_out=1.0, price_recipe=-1e9)),
        )
    )
    best = drunk.sweet_spot.score.mean
    for advice in (drunk, dear):
        assert advice.predict([advice.next_recipe]).score_mean[0] > best - 0.1
    assert spat.predict([spat.next_recipe]).score_mean[0] < best - 0.3


def test_the_pairing_says_what_counts_unless_the_call_does(pairing: Pairing, shots: list[Shot]) -> None:
    bench = replace(pairing, counts="recipe")
    assert advise(bench, shots).next_recipe == advise(pairing, shots, counts="recipe").next_recipe
    assert advise(bench, shots, counts="cups").next_recipe == advise(pairing, shots).next_recipe
    assert advise(bench, shots).pairing.counts == "recipe"
    with pytest.raises(BadValue, match="counts"):
        advise(pairing, shots, counts="sips")
    for wrong in (0, 5, 1.5, True, "2"):
        with pytest.raises(BadValue, match="most_moves"):
            advise(pairing, shots, most_moves=wrong)  # type: ignore[arg-type]  # on purpose


def test_what_nobody_notes_is_not_counted_on() -> None:
    here = outcome_model(np.zeros((1, 1)), lapse=0.0, time_sd=0.06)
    noted = replace(pull(18), balance=0)
    assert as_noted(here, [noted]).note_lapse[0] == 0
    assert as_noted(here, [pull(18)]).note_lapse[0] == 1
    assert as_noted(here, [pull(18)]).time_sd[0] == 0.06
    assert as_noted(here, [replace(noted, time_s=None)]).time_sd[0] > 1e3


def test_the_word_does_not_change_with_one_so_so_cup(pairing: Pairing) -> None:
    """Once more tests won't help, a cup of the sweet spot that scores less changes nothing by itself.

    Two and a half points less: the palate is held to be so noisy at first that a smaller drop teaches next to nothing.
    """
    bag = replace(pairing, bean=replace(pairing.bean, bag_g=225.0))
    log = [replace(pull(24, 17, 5.0), balance=-2), replace(pull(19, 24, 7.0), balance=-1)]
    log += [replace(pull(grind, 28, score), balance=0) for grind, score in ((17, 7.5), (16, 7.0), (17, 7.5))]
    advice = advise(bag, log, seed=3)
    assert advice.settled
    log.append(replace(pull(17, 28, 5.0), recipe=advice.next_recipe, balance=0))
    assert advise(bag, log, seed=3).settled
    assert not advise(bag, log, seed=3, config=replace(CONFIG, steady=0.0)).settled, "by that cup's look alone"


def test_a_bag_of_another_size_is_dialled_in_differently(pairing: Pairing) -> None:
    """With more cups to come, testing pays for longer."""
    log = [replace(pull(22, 20, 5.0), balance=-1), replace(pull(18, 27, 6.5), balance=0)]
    log += [replace(pull(16, 31, 6.5), balance=0), replace(pull(17, 29, 7.0), balance=0)]
    sizes = [replace(pairing, bean=replace(pairing.bean, bag_g=bag_g)) for bag_g in (90.0, 1000.0)]
    small, large = (advise(of, log, seed=2) for of in sizes)
    assert small.settled
    assert not large.settled
    assert not advise(replace(sizes[0], bags_to_come=20), log, seed=2).settled
