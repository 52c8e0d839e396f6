from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from dialopt import Recipe
from experiments.worlds import DEVELOPMENT, FAMILIES, HELD_OUT, PAIRS, WIDE, World, make, make_pair
from experiments.worlds.bench import draw_kit, viscosity_mpas
from experiments.worlds.bumps import draw_smooth
from experiments.worlds.variants import ends
from experiments.worlds.world import fineness

SEEDS = range(6)


def any_recipe(world: World, rng: np.random.Generator) -> Recipe:
    dials = world.pairing.dials.items()
    return Recipe(**{name: float(rng.choice(dial.settings())) for name, dial in dials})


def test_the_six_kinds_to_develop_on_and_the_others_are_kept_apart() -> None:
    assert set(DEVELOPMENT) == {"ridge", "cliff", "biased_palate", "no_notes", "bumpy_ridge", "random_surface"}
    assert not set(DEVELOPMENT) & set(HELD_OUT)
    assert len(HELD_OUT) >= 8
    assert len(FAMILIES) == len(DEVELOPMENT) + len(HELD_OUT) + len(WIDE)


@pytest.mark.parametrize("family", FAMILIES)
def test_a_seed_gives_the_same_world_and_another_seed_another(family: str) -> None:
    first, again, other = make(family, 3), make(family, 3), make(family, 4)
    assert first.pairing == again.pairing
    assert np.array_equal(first.liking_grid(), again.liking_grid())
    pulls = [world.pull(world.best, np.random.default_rng(8)) for world in (first, again)]
    assert pulls[0] == pulls[1]
    assert first.best_liking != other.best_liking


@pytest.mark.parametrize("family", FAMILIES)
def test_no_recipe_on_the_dials_beats_the_best(family: str) -> None:
    for seed in SEEDS:
        world = make(family, seed)
        assert world.pairing.check(world.best) == world.best
        assert world.liking(world.best) == pytest.approx(world.best_liking)
        assert world.regret(world.best) == pytest.approx(0, abs=1e-9)
        rng = np.random.default_rng(seed)
        assert all(world.regret(any_recipe(world, rng)) >= -1e-9 for _ in range(50))


@pytest.mark.parametrize("family", FAMILIES)
def test_the_grid_agrees_with_single_recipes(family: str) -> None:
    world = make(family, 1)
    grid, rng = world.liking_grid(), np.random.default_rng(0)
    assert grid.shape == tuple(dial.count for dial in world.pairing.dials.values())
    for _ in range(30):
        recipe = any_recipe(world, rng)
        place = tuple(dial.index(getattr(recipe, name)) for name, dial in world.pairing.dials.items())
        assert world.liking(recipe) == pytest.approx(grid[place], abs=1e-9)


@pytest.mark.parametrize("family", FAMILIES)
def test_dials_and_likings_are_plausible(family: str) -> None:
    for seed in SEEDS:
        world = make(family, seed)
        counts = [dial.count for dial in world.pairing.dials.values()]
        if family == "weak_dial":
            assert 5 <= counts[0] <= 8
            assert counts[2] in (1, 3)
        else:
            assert 24 <= counts[0] <= 80
            assert 5 <= counts[2] <= 17
        assert 5.0 < world.best_liking <= 9.2 + 1e-9
        grid = world.liking_grid()
        assert 0 <= grid.min() <= grid.max() <= 10


@pytest.mark.parametrize("family", FAMILIES)
def test_finer_and_fuller_run_slower_and_hotter_a_little_faster(family: str) -> None:
    for seed in SEEDS:
        world = make(family, seed)
        middle = Recipe(**{name: dial.middle for name, dial in world.pairing.dials.items()})
        grinder = world.pairing.grinder
        by_fineness = grinder.grind.settings()[:: -1 if grinder.finer == "down" else 1]
        times = [world.time_s(replace(middle, grind=grind)) for grind in by_fineness]
        assert all(slow >= fast for fast, slow in pairwise(times))
        assert times[-1] > 1.2 * times[0]
        doses = [world.time_s(replace(middle, dose_g=dose_g)) for dose_g in world.pairing.basket.dose_g.settings()]
        assert doses[-1] > doses[0]
        ratio = world.time_s(replace(middle, temp_c=88)) / world.time_s(replace(middle, temp_c=96))
        assert 1.05 < ratio < 1.10  # about 9 %, less where part of the time is wetting


def test_viscosity_of_water() -> None:
    """Published check values: 0.3186 mPa·s at 88 °C, 0.2912 at 96 °C (computed)."""
    assert viscosity_mpas(np.array([88.0, 96.0])) == pytest.approx([0.3186, 0.2912], abs=5e-5)


def test_fineness_follows_the_way_the_numbers_run() -> None:
    for seed in range(12):
        pairing = make("ridge", seed).pairing
        dial = pairing.grinder.grind
        ends_of_dial = fineness(pairing, np.array([dial.low, dial.high]))
        assert list(ends_of_dial) == ([1.0, 0.0] if pairing.grinder.finer == "down" else [0.0, 1.0])


@pytest.mark.parametrize("family", ["ridge", "physical", "no_notes"])
def test_one_puck_in_twelve_channels_runs_fast_and_tastes_worse(family: str) -> None:
    world, pulls = make(family, 2), 3000
    shots = [world.pull(world.best, np.random.default_rng([5, index])) for index in range(pulls)]
    median = world.time_s(world.best)
    fast = [shot for shot in shots if shot.time_s is not None and shot.time_s < 0.82 * median]
    rest = [shot for shot in shots if shot.time_s is not None and shot.time_s >= 0.82 * median]
    assert len(fast) / pulls == pytest.approx(1 / 12, abs=0.015)
    assert np.mean([shot.score for shot in fast]) < np.mean([shot.score for shot in rest]) - 0.8
    assert all(shot.fault is None for shot in shots)


def test_luck_is_the_same_whatever_the_recipe() -> None:
    world = make("ridge", 0)
    rng_a, rng_b = np.random.default_rng(1), np.random.default_rng(1)
    world.pull(world.best, rng_a)
    world.pull(any_recipe(world, np.random.default_rng(9)), rng_b)
    assert rng_a.random() == rng_b.random()


def test_scores_are_halves_and_notes_whole_steps() -> None:
    for family in FAMILIES:
        world = make(family, 0)
        for index in range(10):
            shot = world.pull(any_recipe(world, np.random.default_rng(index)), np.random.default_rng([1, index]))
            assert shot.score is not None
            assert 2 * shot.score == int(2 * shot.score)
            assert (shot.balance is None) == (family == "no_notes")
            assert shot.balance is None or shot.balance == int(shot.balance)


def mean_note(family: str, seed: int, share_off: float) -> float:
    """Mean balance note of a world somewhat finer or coarser than its best."""
    world = make(family, seed)
    dial = world.pairing.grinder.grind
    finer = -1 if world.pairing.grinder.finer == "down" else 1
    grind = dial.snap(world.best.grind + finer * share_off * (dial.high - dial.low))
    recipe = replace(world.best, grind=grind)
    notes = [world.pull(recipe, np.random.default_rng([3, index])).balance for index in range(100)]
    return float(np.mean([note for note in notes if note is not None]))


def test_notes_say_bitter_when_too_fine_unless_the_family_says_otherwise() -> None:
    for seed in range(3):
        assert mean_note("ridge", seed, 0.15) > mean_note("ridge", seed, -0.15) + 0.5
        assert mean_note("flipped_notes", seed, 0.15) < mean_note("flipped_notes", seed, -0.15) - 0.5
        assert mean_note("useless_notes", seed, 0.15) == pytest.approx(mean_note("useless_notes", seed, -0.15), abs=0.3)
        assert abs(mean_note("biased_palate", seed, 0.0)) > 0.4


def test_physical_extraction_peaks_at_an_inner_grind_in_most_pucks() -> None:
    inner = 0
    for seed in range(20):
        puck = make("physical", seed).seconds.__self__  # type: ignore[attr-defined]
        fine = np.linspace(0, 1.4, 141)  # a little past the dial's own fine end
        yields = puck.yield_pct(fine, np.full(141, 18.0), np.full(141, 93.0))
        assert 8 < yields.min() < yields.max() < 30
        inner += 0 < int(np.argmax(yields)) < 140
    assert inner >= 18


def test_the_cliff_is_a_cliff() -> None:
    drops = []
    for seed in range(12):
        world = make("cliff", seed)
        dose_g, temp_c = np.array(world.best.dose_g), np.array(world.best.temp_c)
        fine = np.linspace(0, 1, 2001)
        log_s = np.log(world.seconds(fine, dose_g, temp_c))
        liking = world.taste(fine, dose_g, temp_c)
        later = np.interp(log_s + 0.08, log_s, liking)
        drops.append(float((liking - later).max()))
    assert np.mean(drops) > 1.5


def test_edge_worlds_are_best_at_the_end_of_a_dial() -> None:
    for seed in range(20):
        world = make("edge", seed)
        assert ends(world)
        for name in ends(world):
            dial = world.pairing.dials[name]
            assert dial.count > 1, "a dial that can't be turned has no end to be best at"
            assert getattr(world.best, name) in (dial.settings()[0], dial.settings()[-1])


def test_two_peaks_has_a_second_hill_in_most_worlds() -> None:
    hills = 0
    for seed in range(20):
        grid = make("two_peaks", seed).liking_grid().max(axis=(1, 2, 3))  # best for each grind
        inside = (grid[1:-1] > grid[:-2]) & (grid[1:-1] >= grid[2:])
        hills += int(inside.sum()) >= 2
    assert hills >= 12


VARYING = {"usual_ratio": (1.85, 2.2), "wants_longer": (2.3, 2.9), "wants_shorter": (1.4, 1.75)}
"""Families whose ratio may vary, and between what they like it best."""


def test_the_ratio_varies_in_three_of_the_wide_families_alone() -> None:
    varying = {family for family in FAMILIES if not make(family, 0).pairing.dials["ratio"].fixed}
    assert varying == set(VARYING) < set(WIDE)


@pytest.mark.parametrize("family", VARYING)
def test_the_best_ratio_is_what_the_family_likes(family: str) -> None:
    low, high = VARYING[family]
    for seed in SEEDS:
        world = make(family, seed)
        step, ratio = world.pairing.dials["ratio"].step, world.pairing.ratio_of(world.best)
        assert low - step < ratio < high + step, "the nearest setting, or the next where grind and heat fit it better"


@pytest.mark.parametrize("family", VARYING)
def test_a_longer_cup_takes_longer_extracts_more_and_is_less_than_twice_the_wait(family: str) -> None:
    for seed in SEEDS:
        world = make(family, seed)
        settings = world.pairing.dials["ratio"].settings()
        times = [world.time_s(replace(world.best, ratio=ratio)) for ratio in settings]
        assert all(later > sooner for sooner, later in pairwise(times))
        assert times[-1] / times[0] < settings[-1] / settings[0], "wetting is the same for both"
        fine = fineness(world.pairing, np.array([world.best.grind]))
        where = fine, np.array([world.best.dose_g]), np.array([world.best.temp_c])
        assert (np.diff(world.lean(*where, np.array(settings))) > 0).all()


def test_what_runs_into_the_cup_is_what_is_tasted_and_timed_where_the_ratio_varies() -> None:
    """Without scatter and noise, the note is of the ratio in the cup, and the time is counted to it once."""
    world = make("wants_longer", 1)
    plain = replace(world, scatter=0.0, taster=replace(world.taster, score_sd=0.0))
    short = replace(world.best, ratio=1.4)
    for index in range(30):
        shot = plain.pull(short, np.random.default_rng([6, index]))
        if plain.channels(np.random.default_rng([6, index])):
            continue
        assert shot.yield_g is not None
        in_cup = replace(short, ratio=shot.yield_g / short.dose_g)
        assert shot.time_s == pytest.approx(plain.time_s(in_cup), abs=0.6)  # to the second, the cup to 0.1 g
        assert shot.score == pytest.approx(plain.liking(in_cup), abs=0.35)  # to the half


def test_on_a_flat_bag_hardly_anything_makes_a_difference() -> None:
    for seed in SEEDS:
        assert 0.1 < np.ptp(make("flat", seed).liking_grid()) <= 0.5


def test_loud_scores_scatter_more_than_any_plain_tasters() -> None:
    loud, plain = ([make(family, seed).taster.score_sd for seed in SEEDS] for family in ("loud", "ridge"))
    assert 1.0 <= min(loud) <= max(loud) <= 1.6
    assert max(plain) <= 0.8


def test_drift_moves_shot_time_and_optimum_and_dates_its_shots() -> None:
    world = make("drift", 1)
    late = world.at(12)
    assert late.time_s(world.best) != pytest.approx(world.time_s(world.best), rel=0.02)
    first, last = (bag.pull(bag.best, np.random.default_rng(0)).pulled_at for bag in (world.at(0), world.at(12)))
    assert first is not None
    assert last is not None
    assert (last - first).days == 4
    assert world.pairing.bean.roasted_on is not None
    assert world.at(5).pairing == world.pairing


def test_a_world_that_does_not_change_is_the_same_at_each_shot() -> None:
    world = make("ridge", 0)
    assert world.at(7) is world


def test_heavy_tailed_scores_pile_up_at_ten() -> None:
    world = make("heavy_tails", 0)
    scores = [world.pull(world.best, np.random.default_rng([2, index])).score for index in range(300)]
    assert np.mean([score == 10 for score in scores]) > 0.2


def test_a_smooth_surface_has_the_mean_and_spread_it_claims() -> None:
    kit = draw_kit(np.random.default_rng(0))
    heights = []
    for seed in range(200):
        hills = draw_smooth(np.random.default_rng(seed), kit)
        heights.append(hills(np.array([0.4]), np.array([kit.basket.dose_g.middle]), np.array([92.0])).item())
    assert np.mean(heights) == pytest.approx(0, abs=0.25)
    assert np.std(heights) == pytest.approx(1, abs=0.2)


@pytest.mark.parametrize("kind", PAIRS)
def test_pairs_are_deterministic_and_share_what_they_say(kind: str) -> None:
    (old, new), (old_again, new_again) = make_pair(kind, 5), make_pair(kind, 5)
    assert (old.pairing, new.pairing) == (old_again.pairing, new_again.pairing)
    assert np.array_equal(new.liking_grid(), new_again.liking_grid())
    assert old.pairing != new.pairing
    assert (old.taster == new.taster) == (kind in ("new_bag", "new_burrs"))
    assert (old.pairing.bean == new.pairing.bean) == (kind == "new_burrs")
    assert (old.pairing.grinder == new.pairing.grinder) == (kind in ("new_bag", "contradicting"))


def test_new_burrs_keep_the_taste_of_a_time_temperature_and_dose() -> None:
    for seed in SEEDS:
        old, new = make_pair("new_burrs", seed)
        assert old.best_liking == pytest.approx(new.best_liking, abs=0.4)  # equal but for where the settings fall
        assert old.best.temp_c == pytest.approx(new.best.temp_c, abs=2.1)


def test_names_that_are_not_known_are_refused() -> None:
    with pytest.raises(KeyError, match="no family"):
        make("volcano", 0)
    with pytest.raises(KeyError, match="no pair"):
        make_pair("twins", 0)
