"""One trial: one method on one bag, shot after shot."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from typing import Any
from zlib import crc32

import numpy as np

from dialopt import Advice, Recipe, Shot
from experiments.methods import METHODS, Earlier, Method
from experiments.worlds import World, make, make_pair

LEVELS = (0.5, 0.8, 0.9)
PROBES = 64
"""Recipes, spread at random, on which the size of a region is measured."""
HISTORY_SHOTS = 10
CARRY = "carry_"
"""Families of this prefix are second bags of a pair, with the first as history."""

Row = dict[str, Any]

_ONE_AT_A_TIME = threading.Lock()
"""Some methods set what a whole process shares: global generators, warnings, parts of dialopt that are taken away."""


def shot_rng(family: str, number: int, index: int) -> np.random.Generator:
    """The luck of shot number `index` of a bag: the same for every method."""
    return np.random.default_rng([crc32(f"luck of {family}".encode()), number, index])


def world_seed(seed: int, task: int) -> int:
    """The seed of a study's bag number `task`."""
    return seed * 100_000 + task


def run(family: str, method_name: str, task: int, *, shots: int, seed: int) -> list[Row]:
    """A row for each number of shots from 0 to `shots`.

    regret: liking given away by the recommended recipe. close: whether that is at most half a point. next_regret: the
    same for the recipe pulled next. Of a method with advice, in50, in80, in90: whether its region holds the true best
    setting, region_share its size; predicted50 …: whether its interval holds the next score.
    """
    world, earlier = bag(family, world_seed(seed, task))
    with _ONE_AT_A_TIME:
        return follow(world, METHODS[method_name](world.pairing, task, earlier), family, method_name, task, shots)


def bag(family: str, number: int) -> tuple[World, Earlier]:
    """The bag and what was pulled before it on earlier bags, none for most families.

    The history of a pair comes from the rule of thumb, so that it is the same whichever method is measured.
    """
    if not family.startswith(CARRY):
        return make(family, number), ()
    first, second = make_pair(family.removeprefix(CARRY), number)
    rule, history = METHODS["rule_of_thumb"](first.pairing, 0), list[Shot]()
    for index in range(HISTORY_SHOTS):
        history.append(first.pull(rule.ask(history), shot_rng(family + " before", number, index)))
    return second, [(first.pairing, history)]


def follow(start: World, method: Method, family: str, method_name: str, task: int, shots: int) -> list[Row]:
    """The rows of one method on one bag."""
    probes = _probes(start)
    rows: list[Row] = []
    log: list[Shot] = []
    for count in range(shots + 1):
        world = start.at(count)
        asked, advised = start.pairing.check(method.ask(log)), start.pairing.check(method.recommend(log))
        regret = world.regret(advised)
        row: Row = {"family": family, "method": method_name, "task": task, "shots": count}
        row |= {"regret": round(regret, 6), "close": regret <= 0.5, "next_regret": round(world.regret(asked), 6)}
        shot = world.pull(asked, shot_rng(family, start.seed, count))
        if hasattr(method, "advice"):
            row |= _honesty(method.advice(log), world.best, shot, probes)
        rows.append(row)
        log.append(shot)
    return rows


def _honesty(advice: Advice, best: Recipe, shot: Shot, probes: Sequence[Recipe]) -> Row:
    spot = advice.sweet_spot
    row: Row = {}
    for level in LEVELS:
        score = advice.predict_outcome(advice.next_recipe, level).score
        row[f"in{level * 100:.0f}"] = bool(spot.contains(best, level))
        row[f"predicted{level * 100:.0f}"] = shot.score is not None and score.low <= shot.score <= score.high
    row["region_share"] = round(sum(spot.contains(probe, 0.9) for probe in probes) / len(probes), 6)
    row["prob_near_optimal"] = round(spot.prob_near_optimal, 6)
    return row | {"settled": advice.settled, "gp_weight": round(advice.gp_weight, 6)}


def _probes(world: World) -> list[Recipe]:
    rng = np.random.default_rng(world.seed)
    dials = world.pairing.dials.items()
    return [Recipe(**{name: float(rng.choice(dial.settings())) for name, dial in dials}) for _ in range(PROBES)]
