from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.stats import norm

import dialopt
from dialopt import BadValue, Basket, Dial, Grinder, Machine, Pairing, Recipe, Shot, advise
from dialopt.engine.config import CONFIG
from dialopt.engine.predictive import PosteriorPredictive
from dialopt.engine.region import Region
from dialopt.model.likelihood import OUTLIER_TIME, OUTLIER_TIME_SHARE
from dialopt.trade.likely_time import time_stretch

pytestmark = pytest.mark.slow


def on_dials(pairing: Pairing, recipe: Recipe) -> bool:
    return pairing.check(recipe) == recipe


def test_defined_before_the_first_shot(pairing: Pairing) -> None:
    advice = advise(pairing, [])
    assert on_dials(pairing, advice.next_recipe)
    assert on_dials(pairing, advice.sweet_spot.recipe)
    assert not advice.settled
    assert 0 <= advice.sweet_spot.score.low < advice.sweet_spot.score.mean < advice.sweet_spot.score.high <= 10
    assert advice.sweet_spot.score.high - advice.sweet_spot.score.low > 3
    assert advice.reason.endswith(".")
    assert advice.shots_left == 13


def test_same_call_same_answer_and_nothing_outside_is_touched(pairing: Pairing, shots: list[Shot]) -> None:
    np.random.seed(1)  # noqa: NPY002 - the global generator is what must stay untouched
    before = np.random.get_state()[1].tolist()  # noqa: NPY002
    first, second = advise(pairing, shots, seed=3), advise(pairing, shots, seed=3)
    assert np.random.get_state()[1].tolist() == before  # noqa: NPY002
    assert first == second
    recipes = [shot.recipe for shot in shots]
    assert np.array_equal(first.predict(recipes).score_mean, second.predict(recipes).score_mean)
    assert advise(pairing, shots, seed=4).sweet_spot.score != first.sweet_spot.score


def test_a_clear_log_is_read_as_a_barista_would(pairing: Pairing, shots: list[Shot]) -> None:
    advice = advise(pairing, shots)
    assert 15 <= advice.sweet_spot.recipe.grind <= 20
    far = Recipe(grind=38, dose_g=18, temp_c=93)
    assert not advice.sweet_spot.contains(far)
    near, coarse = advice.predict([advice.sweet_spot.recipe, far]).score_mean
    assert near > coarse + 1
    times = advice.predict([Recipe(grind=g, dose_g=18, temp_c=93) for g in (24, 17, 14)]).time_s
    assert times == pytest.approx([17, 28, 36], rel=0.15)
    assert np.all(np.diff(times) > 0), "finer is slower"


def test_more_shots_narrow_the_interval(pairing: Pairing, shots: list[Shot]) -> None:
    width = [
        (lambda score: score.high - score.low)(advise(pairing, shots[:count]).sweet_spot.score) for count in (0, 2, 6)
    ]
    assert width[0] > width[1] > width[2]


def test_a_dial_that_runs_the_other_way_gives_the_same_advice(pairing: Pairing, shots: list[Shot]) -> None:
    turned = Pairing(
        bean=pairing.bean,
        grinder=replace(pairing.grinder, finer="up"),
        machine=pairing.machine,
        basket=pairing.basket,
    )
    mirrored = [replace(shot, recipe=replace(shot.recipe, grind=40 - shot.recipe.grind)) for shot in shots]
    for count in (2, 3):  # where ties are many
        next_, mirror = (advise(of, log[:count]).next_recipe for of, log in ((pairing, shots), (turned, mirrored)))
        assert mirror == replace(next_, grind=40 - next_.grind)
    straight, other = advise(pairing, shots[:4]), advise(turned, mirrored[:4])
    assert other.sweet_spot.score.mean == pytest.approx(straight.sweet_spot.score.mean, abs=1e-6)
    assert other.sweet_spot.recipe.grind == 40 - straight.sweet_spot.recipe.grind


def test_shots_without_a_score_teach_the_shot_time(pairing: Pairing) -> None:
    timed = [
        Shot(recipe=Recipe(grind=g, dose_g=18, temp_c=93), yield_g=36, time_s=t)
        for g, t in ((30, 12), (20, 24), (25, 17))
    ]
    advice = advise(pairing, timed)
    assert advice.predict([Recipe(grind=22.0, dose_g=18, temp_c=93)]).time_s == pytest.approx([20.9], rel=0.1)
    assert advice.sweet_spot.recipe.grind < 24
    assert advice.gp_weight == 0.0


def test_a_wide_dial_with_espresso_at_one_end_is_learned(pairing: Pairing) -> None:
    """A fifth of a log unit a step of sixty: twelve, where the usual dial has two from end to end."""
    wide = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(0, 60, 1)))
    tasted = {14: (4, -2), 13: (5, -2), 11: (8, 0), 10: (7, 1), 12: (7.5, -1)}
    log = [
        Shot(
            recipe=Recipe(grind=grind, dose_g=18, temp_c=93),
            yield_g=36,
            time_s=round(28 * math.exp(0.2 * (11 - grind)), 1),
            score=score,
            balance=balance,
        )
        for grind, (score, balance) in tasted.items()
    ]
    advice = advise(wide, log)
    assert abs(advice.sweet_spot.recipe.grind - 11) <= 1
    assert advice.predict([shot.recipe for shot in log]).time_s == pytest.approx([s.time_s for s in log], rel=0.15)


@pytest.mark.parametrize("more", [{}, {"fault": "other", "score": 2}, {"fault": "misweighed", "time_s": 12}])
def test_a_shot_that_tells_nothing_changes_nothing_but_the_coffee_left(
    pairing: Pairing, shots: list[Shot], more: dict[str, object]
) -> None:
    silent = Shot(recipe=shots[-1].recipe, **more)  # type: ignore[arg-type]  # fields of a shot
    with_it, alone = advise(pairing, [*shots, silent]), advise(pairing, shots)
    assert with_it.next_recipe == alone.next_recipe
    assert with_it.sweet_spot.score == alone.sweet_spot.score
    assert with_it.shots_left == alone.shots_left - 1


@pytest.mark.parametrize("times", [(5, 5, 6), (8, 9, 11), (60, 80, 95), (600, 600, 600)])
def test_where_every_shot_ran_astray_the_next_runs_nearer_to_what_is_usual(
    pairing: Pairing, times: tuple[float, ...]
) -> None:
    """However alike the scores: too fast, slower; too slow, faster than any that was pulled."""
    log = [
        Shot(recipe=Recipe(grind=grind, dose_g=18, temp_c=92), yield_g=36, time_s=time, score=2)
        for grind, time in zip((24, 18, 15), times, strict=True)
    ]
    for seed in range(3):
        expected = advise(pairing, log, seed=seed).expected.time_s.mean
        assert expected > max(times) if max(times) < 28 else expected < min(times)


@pytest.mark.parametrize("ratio", [1.0, 3.0])
def test_another_ratio_runs_as_much_longer_by_every_way_of_knowing(pairing: Pairing, ratio: float) -> None:
    """By what is usual, by shots of its own and by a history: the cup fills at a nearly steady rate.

    A longer cup draws more from the same puck, too, so that its best grind is coarser, and a shorter one's finer.
    """
    other, stretch = replace(pairing, ratio=ratio), time_stretch(ratio)
    at = Recipe(grind=18, dose_g=18, temp_c=92)
    log = [Shot(recipe=at, time_s=28, score=7)] * 2
    longer = [replace(shot, time_s=28 * stretch) for shot in log]
    for here, there in (
        (advise(pairing, []), advise(other, [])),
        (advise(pairing, log), advise(other, longer)),
        (advise(pairing, [], earlier=[(pairing, log)]), advise(other, [], earlier=[(pairing, log)])),
    ):
        assert there.predict([at]).time_s == pytest.approx(here.predict([at]).time_s * stretch, rel=0.05)
        turn = np.sign(there.sweet_spot.recipe.grind - here.sweet_spot.recipe.grind)
        assert turn == np.sign(ratio - 2.0)


def test_a_marked_fault_leaves_the_taste_alone(pairing: Pairing, shots: list[Shot]) -> None:
    ruined = [*shots, Shot(recipe=shots[2].recipe, time_s=12, score=1, balance=-3, fault="channelled")]
    kept, alone = advise(pairing, ruined).sweet_spot.score, advise(pairing, shots).sweet_spot.score
    assert kept.mean == pytest.approx(alone.mean, abs=0.15)


def test_ageing_is_learned_and_given_in_steps(pairing: Pairing) -> None:
    """The same grind runs a third faster after ten days: a barista would go finer."""
    grinds, first, later = (22, 19, 16), (19.0, 23.5, 29.0), (14.0, 17.3, 21.5)
    aged = [
        Shot(
            recipe=Recipe(grind=grind, dose_g=18, temp_c=93),
            yield_g=36,
            time_s=time,
            pulled_at=datetime(2026, 3, day, 9, tzinfo=UTC),
        )
        for day, times in ((1, first), (11, later))
        for grind, time in zip(grinds, times, strict=True)
    ]
    one_day = advise(pairing, aged[:3])
    assert one_day.finer_today is None
    advice = advise(pairing, aged)
    assert advice.finer_today is not None
    assert 2.5 < advice.finer_today.mean < 6.5
    assert advice.finer_today.low > 0
    recipe = [Recipe(grind=19, dose_g=18, temp_c=93)]
    assert advice.predict(recipe).time_s == pytest.approx([17.3], rel=0.1)
    much_later = advise(pairing, aged, today=date(2026, 3, 21))
    assert much_later.predict(recipe).time_s[0] < 16


@pytest.mark.parametrize(
    "slipped", [{"grind": 180}, {"grind": 71}, {"grind": -31}, {"dose_g": 28}, {"dose_g": 10}, {"temp_c": 70}]
)
def test_a_mistyped_recipe_is_paid_for_and_not_read(
    pairing: Pairing, shots: list[Shot], slipped: dict[str, float]
) -> None:
    """At first, when nothing else is known, and among other shots."""
    recipe = Recipe(**{"grind": 17.0, "dose_g": 18.0, "temp_c": 93.0, **slipped})
    slip = Shot(recipe=recipe, time_s=28, score=7.5, balance=0)
    smaller = replace(pairing, bean=replace(pairing.bean, bag_g=pairing.bag_g - recipe.dose_g))
    for others in ([], shots[:3]):
        slipped_once, without = advise(pairing, [*others, slip]), advise(smaller, others)
        for name in ("next_recipe", "settled", "reason", "shots_left"):
            assert getattr(slipped_once, name) == getattr(without, name)
        assert slipped_once.sweet_spot.recipe == without.sweet_spot.recipe
        assert slipped_once.palate.repeats == without.palate.repeats


def test_what_was_meant_on_the_kit_it_was_pulled_on_is_read_on_any(pairing: Pairing, shots: list[Shot]) -> None:
    """A history from a small basket and a cool machine isn't mistyped because this kit is another."""
    small = Basket(name="single", dose_g=Dial(8, 10, 0.1))
    cool = Machine(name="lever", temp_c=Dial(76, 84, 1))
    there = [replace(shot, recipe=replace(shot.recipe, dose_g=9, temp_c=80), yield_g=18) for shot in shots]
    other = replace(pairing, basket=small, machine=cool)
    assert pairing.meant(there) == []
    informed, cold = advise(pairing, [], earlier=[(other, there)]), advise(pairing, [])
    assert informed.sweet_spot.score != cold.sweet_spot.score


def test_a_grind_a_little_beyond_the_dial_is_meant(pairing: Pairing, shots: list[Shot]) -> None:
    beyond = Shot(recipe=Recipe(grind=45, dose_g=18, temp_c=93), time_s=8, score=2, balance=-3)
    assert advise(pairing, [*shots[:3], beyond]).sweet_spot.score != advise(pairing, shots[:3]).sweet_spot.score


def test_an_unmarked_channelled_shot_is_survived(pairing: Pairing, shots: list[Shot]) -> None:
    unmarked = [*shots, Shot(recipe=shots[2].recipe, yield_g=36, time_s=15, score=2.5, balance=-2)]
    kept, alone = advise(pairing, unmarked).sweet_spot, advise(pairing, shots).sweet_spot
    assert kept.score.mean == pytest.approx(alone.score.mean, abs=0.5)
    assert abs(kept.recipe.grind - alone.recipe.grind) <= 2


def test_the_time_predicted_is_the_one_as_likely_passed_as_not(pairing: Pairing) -> None:
    """Before any shot a few draws hardly run at all; the mean of all would be a minute."""
    advice = advise(pairing, [])
    assert advice.expected.time_s.mean == pytest.approx(advice.predict([advice.next_recipe]).time_s[0], rel=0.1)
    assert advice.expected.time_s.mean == pytest.approx(28, rel=0.15)


def test_nothing_beats_a_cup_at_the_end_of_the_scale(pairing: Pairing) -> None:
    tens = [Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), time_s=27, score=10)] * 8
    spot = advise(pairing, tens).sweet_spot
    assert spot.score.low > 9.5
    assert spot.prob_near_optimal > 0.95


@pytest.mark.parametrize(("recipe", "time_s"), [((22, 19, 95), 22.0), ((14, 17, 90), 36.0)])
def test_a_recipe_of_nothing_but_tens_is_not_left_for_one_never_tasted(
    pairing: Pairing, recipe: tuple[float, float, float], time_s: float
) -> None:
    """Away from the usual cup, where draws promise 12 points nearer to it."""
    grind, dose_g, temp_c = recipe
    loved = Shot(recipe=Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c), time_s=time_s, score=10)
    spot = advise(pairing, [loved] * 8).sweet_spot
    assert spot.recipe.grind == grind
    assert spot.recipe.temp_c == temp_c
    assert spot.recipe.dose_g == pytest.approx(dose_g, abs=0.15)


def test_a_favourite_pulled_for_weeks_stays_settled(pairing: Pairing, shots: list[Shot]) -> None:
    """More tastings than are read, nearly all of one recipe: what was tasted around it still says where the best is."""
    around = [
        replace(shots[-1], recipe=Recipe(grind=17, dose_g=dose, temp_c=temp), score=score, balance=note, time_s=time)
        for dose, temp, score, time, note in ((17, 92, 7, 26, 0), (19, 94, 7.5, 31, 0), (18, 90, 7, 29, -1))
    ]
    favourite = [replace(shots[-1], score=score) for score in (8, 7.5, 8) * 15]
    advice = advise(pairing, [*shots, *around, *favourite])
    assert advice.sweet_spot.prob_near_optimal > 0.875
    assert abs(advice.sweet_spot.recipe.grind - shots[-1].recipe.grind) <= 1


def test_a_choked_machine_says_too_fine(pairing: Pairing) -> None:
    choked = [Shot(recipe=Recipe(grind=20, dose_g=18, temp_c=93), fault="choked")]
    coarse = Recipe(grind=20, dose_g=18, temp_c=93)
    assert advise(pairing, choked).predict([coarse]).time_s[0] > 35 > advise(pairing, []).predict([coarse]).time_s[0]
    assert advise(pairing, choked).next_recipe.grind > 20


def test_strength_is_used(pairing: Pairing) -> None:
    weak = [
        Shot(recipe=Recipe(grind=g, dose_g=18, temp_c=93), yield_g=36, tds_pct=tds)
        for g, tds in ((24, 7.0), (22, 7.6), (20, 8.2))
    ]
    assert advise(pairing, weak).sweet_spot.recipe.grind < advise(pairing, []).sweet_spot.recipe.grind


def test_where_nothing_can_be_set_there_is_nothing_to_test(pairing: Pairing, shots: list[Shot]) -> None:
    fixed = Pairing(
        bean=pairing.bean,
        grinder=Grinder(name="g", grind=Dial(17, 17)),
        machine=Machine(name="m", temp_c=Dial(93, 93)),
        basket=Basket(dose_g=Dial(18, 18)),
    )
    assert advise(fixed, shots).settled


@pytest.mark.parametrize("score", [0, 10])
def test_liking_stays_on_the_scale_to_its_very_end(pairing: Pairing, score: float) -> None:
    spot = advise(pairing, [Shot(recipe=Recipe(grind=20, dose_g=18, temp_c=92), score=score)] * 6).sweet_spot
    drawn = spot.predictive.draws([spot.recipe]).liking
    assert 0 <= drawn.min() <= drawn.max() <= 10
    assert score in (spot.score.low, spot.score.high)


def test_what_is_predicted_is_read_off_the_draws(pairing: Pairing, shots: list[Shot]) -> None:
    recipes = [Recipe(grind=grind, dose_g=18, temp_c=93) for grind in (12, 18, 30)]
    advice = advise(pairing, shots)
    predicted, drawn = advice.predict(recipes), advice.sweet_spot.predictive.draws(recipes)
    assert predicted.score_mean == pytest.approx(drawn.liking.mean(axis=0))
    assert predicted.score_sd == pytest.approx(drawn.liking.std(axis=0))
    assert np.array([predicted.score_low, predicted.score_high]) == pytest.approx(
        np.quantile(drawn.liking, [0.05, 0.95], axis=0)
    )
    assert predicted.time_s == pytest.approx(np.exp(np.median(np.log(drawn.time_s), axis=0)))


def test_once_settled_the_sweet_spot_is_what_to_pull(pairing: Pairing, shots: list[Shot]) -> None:
    testing = advise(pairing, shots, counts="recipe")
    assert testing.next_recipe != testing.sweet_spot.recipe
    done = advise(pairing, shots, counts="recipe", config=replace(CONFIG, price_recipe=1e9))
    assert done.next_recipe == done.sweet_spot.recipe == testing.sweet_spot.recipe
    assert done.version == dialopt.__version__


def test_draws_of_the_best_setting_fill_its_region(pairing: Pairing, shots: list[Shot]) -> None:
    advice = advise(pairing, shots)
    drawn = advice.sweet_spot.predictive.best()
    assert all(on_dials(pairing, recipe) for recipe in drawn)
    for level in (0.5, 0.9):
        share = np.mean([advice.sweet_spot.contains(recipe, level) for recipe in drawn])
        assert share == pytest.approx(level, abs=0.08)


def test_wrong_arguments_are_refused_by_name(pairing: Pairing, shots: list[Shot]) -> None:
    advice = advise(pairing, shots)
    asked: list[tuple[str, Callable[[], object]]] = [
        ("pairing", lambda: advise("no pairing", [])),  # type: ignore[arg-type]
        ("shot 1", lambda: advise(pairing, ["no shot"])),  # type: ignore[list-item]
        ("seed", lambda: advise(pairing, [], seed=-1)),
        ("earlier", lambda: advise(pairing, shots, earlier=[pairing])),  # type: ignore[list-item]
        ("today", lambda: advise(pairing, shots, today="2026-01-01")),  # type: ignore[arg-type]
        ("recipe", lambda: advice.predict_outcome("x")),  # type: ignore[arg-type]
        ("level", lambda: advice.predict_outcome(advice.next_recipe, 1.5)),
        ("recipe", lambda: advice.sweet_spot.contains("x", 0.9)),  # type: ignore[arg-type]
        ("level", lambda: advice.sweet_spot.contains(Recipe(grind=39, dose_g=18, temp_c=93), 1.5)),
        ("level", lambda: advice.sweet_spot.contains(advice.sweet_spot.recipe, 1.5)),
    ]
    for field, ask in asked:
        with pytest.raises(BadValue) as caught:
            ask()
        assert caught.value.field == field


def by_hand(pairing: Pairing, draws: int, *, outlier_share: float = 0.0) -> PosteriorPredictive:
    """Answers from a posterior by which every sound shot runs 25 s, and finer is better liked."""
    posterior = SimpleNamespace(
        liking=lambda at: np.linspace(5.0, 7.0, draws)[:, None] + at.fine,
        median_log_time=lambda at: np.full((draws, len(at.fine)), np.log(25.0)),
        score_sd=np.zeros(draws),
        time_sd=np.zeros(draws),
    )
    nowhere = Region(np.full((4, 4), 0.5), np.full(4, 0.1))
    return PosteriorPredictive(
        pairing,
        posterior,  # type: ignore[arg-type]  # as much of one as is asked
        nowhere,
        np.zeros((1, 4)),
        outlier_share=outlier_share,
        seed=0,
    )


def test_a_bad_puck_that_does_not_show_leaves_the_shot_time(pairing: Pairing) -> None:
    """Of bad pucks `OUTLIER_TIME_SHARE` run otherwise, mostly faster; the score of each suffers."""
    recipe = Recipe(grind=18, dose_g=18, temp_c=93)
    sound = by_hand(pairing, 2000).predict_outcome(recipe, 0.99)
    assert (sound.time_s.low, sound.time_s.high) == (pytest.approx(25), pytest.approx(25))
    bad = by_hand(pairing, 2000, outlier_share=1.0)
    faster = OUTLIER_TIME_SHARE * norm.cdf(-OUTLIER_TIME[0] / OUTLIER_TIME[1])

    def quantile(share: float) -> float:
        return bad.predict_outcome(recipe, float(2 * share - 1)).time_s.high

    assert quantile(faster - 0.02) < 24.5
    assert quantile(faster + 0.02) == pytest.approx(25) == quantile(faster + 0.97 - OUTLIER_TIME_SHARE)
    assert quantile(0.999) > 25.1
    assert bad.predict_outcome(recipe, 0.9).score.mean < sound.score.mean - 0.5


def test_many_recipes_are_predicted_as_few_are(pairing: Pairing) -> None:
    predictive = by_hand(pairing, 3)
    recipes = [Recipe(grind=float(number % 41), dose_g=18, temp_c=92) for number in range(5000)]
    whole, parts = predictive.predict(recipes), [predictive.predict(part) for part in (recipes[:77], recipes[77:])]
    for name in ("score_mean", "score_sd", "time_s"):
        assert getattr(whole, name) == pytest.approx(np.concatenate([getattr(part, name) for part in parts]))
    assert len({*whole.score_mean}) == 41


def test_nothing_asked_nothing_predicted(pairing: Pairing) -> None:
    predicted = advise(pairing, []).predict([])
    assert predicted.score_mean.shape == predicted.score_sd.shape == predicted.time_s.shape == (0,)


@pytest.mark.parametrize("days", [30, 90, 900])
def test_a_long_pause_widens_but_does_not_run_away(pairing: Pairing, shots: list[Shot], days: int) -> None:
    dated = [replace(shot, pulled_at=datetime(2026, 1, 1, 8, tzinfo=UTC)) for shot in shots]
    fresh = advise(pairing, dated, today=date(2026, 1, 1)).sweet_spot
    paused = advise(pairing, dated, today=date(2026, 1, 1) + timedelta(days=days)).sweet_spot
    assert paused.prob_near_optimal < fresh.prob_near_optimal
    assert paused.score.high - paused.score.low > fresh.score.high - fresh.score.low
    assert paused.score.mean > fresh.score.mean - 2.0
    assert abs(paused.recipe.grind - fresh.recipe.grind) <= 12


def test_steps_too_small_for_words_are_no_trouble(pairing: Pairing) -> None:
    tiny = replace(pairing, basket=Basket(dose_g=Dial(18, 18.004, 0.001)))
    shot = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), score=7)
    for seed in range(4):
        assert advise(tiny, [shot], seed=seed).reason.endswith(".")
