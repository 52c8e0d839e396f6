from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from dialopt import Advice, Shot
from experiments.methods import ABLATED, METHODS
from experiments.methods.engine import Engine
from experiments.trial import shot_rng
from experiments.worlds import World, make

pytestmark = pytest.mark.slow

SEED = 5


@pytest.fixture(scope="module")
def world() -> World:
    """A bag that changes from day to day and is nearly used up, so that the cost of a test tells."""
    full = make("drift", 15)
    bean = replace(full.pairing.bean, bag_g=60.0)
    return replace(full, pairing=replace(full.pairing, bean=bean))


@pytest.fixture(scope="module")
def log(world: World) -> list[Shot]:
    """Nine shots of three days, spread over the dials."""
    sobol, shots = METHODS["sobol"](world.pairing, 1), list[Shot]()
    for index in range(9):
        shots.append(world.at(index).pull(sobol.ask(shots), shot_rng("drift", 15, index)))
    assert shots[-1].pulled_at is not None
    assert shots[-1].pulled_at - datetime(2031, 3, 3, 8) > timedelta(days=2)
    return shots


def told(advice: Advice) -> tuple[object, ...]:
    predicted = advice.predict_outcome(advice.sweet_spot.recipe)
    return (
        advice.next_recipe,
        advice.sweet_spot.recipe,
        advice.sweet_spot.prob_near_optimal,
        predicted,
        advice.gp_weight,
    )


def asked(name: str, world: World, shots: list[Shot]) -> tuple[object, ...]:
    return told(advice(name, world, shots))


def advice(name: str, world: World, shots: list[Shot]) -> Advice:
    method = METHODS[name](world.pairing, SEED)
    assert isinstance(method, Engine)
    return method.advice(shots)


@pytest.mark.parametrize("name", sorted(ABLATED))
def test_each_part_does_something(name: str, world: World, log: list[Shot]) -> None:
    """Without it the advice differs: after these shots, some of them, a single one at an end of the dial, or the best
    cup pulled once or up to four times."""
    dial = world.pairing.grinder.grind
    far = [[world.pull(replace(world.best, grind=end), shot_rng("drift", 15, 0))] for end in (dial.low, dial.high)]
    best = world.pull(world.best, shot_rng("drift", 15, 0))
    assert any(
        asked(name, world, shots) != asked("dialopt", world, shots)
        for shots in (
            log,
            *far,
            *([best] * times for times in (1, 2, 3, 4)),
            *(log[:count] for count in range(2, len(log))),
        )
    )


def test_what_is_taken_away_is_away(world: World, log: list[Shot]) -> None:
    def without(part: str) -> Advice:
        return advice(f"ablated_{part}", world, log)

    assert without("no_gp").gp_weight == 0.0
    assert without("no_trade").gp_weight > 0.99
    greedy = without("greedy")
    # The best of the coarse lattice, of which the sweet spot is a finer look.
    next_liked, best_liked = greedy.predict([greedy.next_recipe, greedy.sweet_spot.recipe]).score_mean
    assert best_liked - 0.05 < next_liked <= best_liked
    grown = without("no_drift").finer_today
    assert grown is not None
    assert max(abs(grown.low), abs(grown.high)) < 1e-6
    assert len(without("half_draws").sweet_spot.predictive.best()) == 512


@pytest.mark.parametrize(("name", "field"), [("no_notes", "balance"), ("no_clock", "time_s")])
def test_what_is_hidden_makes_no_difference(name: str, field: str, world: World, log: list[Shot]) -> None:
    other = [replace(shot, **{field: {"balance": 3.0, "time_s": 99.0}[field]}) for shot in log]
    for shots in (log[:6], log):
        assert asked(f"ablated_{name}", world, shots) == asked(f"ablated_{name}", world, other[: len(shots)])
