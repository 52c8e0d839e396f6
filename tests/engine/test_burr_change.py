from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from dialopt import Advice, Basket, Dial, Pairing, Recipe, Shot, advise
from dialopt.engine.advice import Estimate
from dialopt.engine.burr_change import is_change, moved
from dialopt.engine.interval import around_median
from dialopt.engine.standing import settings_finer, time_line
from dialopt.trade.grinder_independent import MARK_S
from experiments.worlds import make_pair
from experiments.worlds.world import World

pytestmark = pytest.mark.slow


def with_burrs(pairing: Pairing, **changes: object) -> Pairing:
    return replace(pairing, grinder=replace(pairing.grinder, burrs="set 2", **changes))  # type: ignore[arg-type]


def test_only_other_burrs_in_the_same_grinder_under_the_same_bean_are_a_change(pairing: Pairing) -> None:
    assert is_change(pairing, with_burrs(pairing))
    assert not is_change(pairing, pairing)
    assert not is_change(pairing, with_burrs(pairing, name="another"))
    assert not is_change(pairing, replace(with_burrs(pairing), bean=replace(pairing.bean, name="another")))


def test_shots_that_run_alike_three_steps_finer_have_moved_by_three(pairing: Pairing, shots: list[Shot]) -> None:
    finer = [replace(shot, recipe=replace(shot.recipe, grind=shot.recipe.grind - 3)) for shot in shots]
    found = moved(advise(pairing, shots), advise(with_burrs(pairing), finer, earlier=[(pairing, shots)]))
    assert found is not None
    assert found.steps.mean == pytest.approx(3, abs=1)
    assert found.steps.low < 3 < found.steps.high
    assert found.before.mean - found.after.mean == pytest.approx(found.steps.mean, abs=0.1)
    assert found.chance_finer > 0.9
    back = moved(advise(with_burrs(pairing), finer), advise(pairing, shots))
    assert back is not None
    assert back.steps.mean < 0
    assert back.chance_finer < 0.1


def test_log_time_is_no_less_a_line_where_the_dial_is_steep(pairing: Pairing) -> None:
    """A quarter of a log second a step, so that the coarse end would run for hundredths of a second."""

    def pulled(grind: float) -> Shot:
        at = Recipe(grind=grind, dose_g=18, temp_c=93)
        return Shot(recipe=at, yield_g=36, time_s=25 * np.exp(0.25 * (20 - grind)), score=7)

    shots = [pulled(grind) for grind in (23, 21, 20, 19, 17, 22, 18)]
    finer = [replace(shot, recipe=replace(shot.recipe, grind=shot.recipe.grind - 8)) for shot in shots]
    found = moved(advise(pairing, shots), advise(with_burrs(pairing), finer))
    assert found is not None
    assert found.steps.mean == pytest.approx(8, abs=1)
    assert found.steps.low < 8 < found.steps.high


def test_a_dial_with_other_numbers_cannot_be_counted_on(pairing: Pairing, shots: list[Shot]) -> None:
    other = with_burrs(pairing, grind=Dial(0, 80, 1))
    assert moved(advise(pairing, shots), advise(other, [])) is None


def test_both_shot_times_are_read_where_the_new_sweet_spot_lies(pairing: Pairing, shots: list[Shot]) -> None:
    fuller = replace(with_burrs(pairing), basket=Basket(dose_g=Dial(19.5, 20, 0.1)))
    before, after = advise(pairing, shots), advise(fuller, [])
    found = moved(before, after)
    assert found is not None

    def setting(advice: Advice, at: Recipe) -> Estimate:
        line = time_line(advice, at)
        assert line is not None
        return around_median(settings_finer(pairing.grinder, line.steps_at(MARK_S)))

    at = after.sweet_spot.recipe
    assert (found.before, found.after) == (setting(before, at), setting(after, at))
    assert found.before != setting(before, before.sweet_spot.recipe)


def pulls(world: World, count: int, seed: int) -> list[Shot]:
    """Shots spread over the middle of the dials."""
    rng, dials = np.random.default_rng(seed), world.pairing.dials
    middle = world.best
    grinds = dials["grind"].thinned(9)
    return [world.pull(replace(middle, grind=float(rng.choice(grinds[1:-1]))), rng) for _ in range(count)]


def true_steps(world: World, at: World) -> float:
    """Steps from the coarse end to the setting that runs in 25 s, at the dose and temperature of the other's best."""
    dial, recipe = world.pairing.grinder.grind, at.best
    ends = (dial.high, dial.low) if world.pairing.grinder.finer == "down" else (dial.low, dial.high)
    coarse, fine = (np.log(world.time_s(replace(recipe, grind=end))) for end in ends)
    return float((np.log(25) - coarse) / (fine - coarse) * (dial.count - 1))


@pytest.mark.slow
def test_simulated_changes_lie_within_the_range_that_is_stated() -> None:
    """Nine in ten should; of eight changes, fewer than six would be a chance of about 1 in 25."""
    inside = 0
    for seed in range(8):
        old, new = make_pair("new_burrs", seed)
        before, after = pulls(old, 5, seed), pulls(new, 4, 50 + seed)
        found = moved(advise(old.pairing, before), advise(new.pairing, after, earlier=[(old.pairing, before)]))
        assert found is not None
        truth = true_steps(new, new) - true_steps(old, new)
        inside += found.steps.low <= truth <= found.steps.high
    assert inside >= 6
