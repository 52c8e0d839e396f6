from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from functools import partial
from itertools import product
from pathlib import Path
from typing import cast

import numpy as np
import pandas as pd
import pytest
from scipy.stats import ks_2samp

from dialopt import Recipe, Shot
from dialopt.model.config import MODEL
from dialopt.model.observations import inputs
from experiments.insider import (
    ALL,
    Bags,
    Draw,
    Quantiles,
    draw_cliffs,
    draw_next_bags,
    draw_ridges,
    flow_of,
    insider_fit,
    insider_rows,
    log_chances,
)
from experiments.page import INSIDER_LOSSES, INSIDER_STOPS
from experiments.study import RESULTS
from experiments.trial import shot_rng
from experiments.worlds import make, make_pair
from experiments.worlds.bench import Floats, Kit
from experiments.worlds.world import World, fineness

pytestmark = pytest.mark.slow

DRAWS = 1500


def somewhere(world: World, seed: int) -> Recipe:
    rng = np.random.default_rng(seed)
    return Recipe(**{name: float(rng.choice(dial.settings())) for name, dial in world.pairing.dials.items()})


def at(bags: Bags, world: World, recipe: Recipe) -> tuple[Floats, Floats]:
    where = fineness(world.pairing, np.array([recipe.grind])), np.array([recipe.dose_g]), np.array([recipe.temp_c])
    return bags.taste(*where).ravel(), bags.flow.log_s(*where).ravel()


def by_quantiles(draw: Draw, kit: Kit, points: Floats) -> Bags:
    return draw(cast(np.random.Generator, Quantiles(points)), kit)


@pytest.mark.parametrize("draw", [draw_ridges, draw_cliffs, partial(draw_cliffs, every=False)])
def test_the_bags_believed_in_are_those_that_the_simulator_draws(draw: Draw) -> None:
    world, rng = make("ridge", 5), np.random.default_rng(0)
    recipe = somewhere(world, 1)
    believed = at(by_quantiles(draw, Kit.of(world.pairing), rng.standard_normal((DRAWS, 24))), world, recipe)
    drawn = zip(*(at(draw(rng, Kit.of(world.pairing)), world, recipe) for _ in range(DRAWS)), strict=True)
    for one, other in zip(believed, drawn, strict=True):
        assert ks_2samp(one, np.ravel(other)).pvalue > 0.001


def true_bag(world: World) -> Bags:
    return Bags(taste=world.taste, lean=world.lean, flow=flow_of(world), taster=world.taster)


def test_the_flow_of_a_bag_follows_from_its_times() -> None:
    world = make("cliff", 8)
    for seed in range(5):
        recipe = somewhere(world, seed)
        assert float(np.exp(at(true_bag(world), world, recipe)[1]).item()) == pytest.approx(world.time_s(recipe))


def test_what_may_be_noted_of_a_pull_has_the_simulators_chances() -> None:
    world = make("ridge", 11)
    recipe, target_g = world.best, world.pairing.yield_g(world.best)
    usual = Shot(recipe=recipe, yield_g=target_g, time_s=20, score=5, balance=0)
    span = range(5, 90)
    possible = [
        replace(usual, time_s=float(time), score=half / 2, balance=note)
        for time, half, note in product(span, range(21), range(-3, 4))
    ]
    chance = np.exp(log_chances(true_bag(world), world.pairing, possible)).ravel()
    assert chance.sum() == pytest.approx(1.0, abs=0.003)

    pulls = [world.pull(recipe, shot_rng("ridge", 1, number)) for number in range(4000)]
    for name in ("time_s", "score", "balance"):
        noted = np.array([getattr(shot, name) for shot in possible], dtype=float)
        mean = float(noted @ chance)
        sd = float(np.sqrt((noted - mean) ** 2 @ chance))
        seen = np.array([getattr(shot, name) for shot in pulls], dtype=float)
        assert seen.mean() == pytest.approx(mean, abs=4 * sd / np.sqrt(len(seen)))
        assert seen.std() == pytest.approx(sd, rel=0.1)


def test_a_log_is_read_as_weighing_many_bags_reads_it() -> None:
    world = make("cliff", 3)
    recipes = [world.best, world.pairing.snap(replace(world.best, dose_g=world.best.dose_g - 1))]
    log = [world.pull(recipe, shot_rng("cliff", 3, number)) for number, recipe in enumerate(recipes)]
    there = inputs(world.pairing, [somewhere(world, seed) for seed in range(10, 16)])
    read = insider_fit(draw_cliffs, world.pairing, log, (), np.random.default_rng(1), None, MODEL)

    many = by_quantiles(draw_cliffs, Kit.of(world.pairing), np.random.default_rng(2).standard_normal((400_000, 24)))
    weight = np.exp(log_chances(many, world.pairing, log).sum(axis=1))
    weight /= weight.sum()
    assert 1 / np.sum(weight**2) > 300
    for mine, theirs in (
        (read.liking(there), many.taste(there.fine, there.raw[:, 1], there.raw[:, 2])),
        (read.median_log_time(there), many.flow.log_s(there.fine, there.raw[:, 1], there.raw[:, 2])),
    ):
        mean = weight @ theirs
        sd = np.sqrt(weight @ (theirs - mean) ** 2)
        assert np.abs(mine.mean(axis=0) - mean).max() < 0.2 * sd.max()
        assert mine.std(axis=0) == pytest.approx(sd, rel=0.25)


def test_a_second_bag_is_believed_to_run_as_second_bags_do() -> None:
    points, believed, true = np.random.default_rng(0).standard_normal((150, 24)), [], []
    for seed, point in enumerate(points):
        before, after = make_pair("new_bag", seed)
        recipe = after.best
        bags = draw_next_bags(cast(np.random.Generator, Quantiles(point[None])), Kit.of(after.pairing), before=before)
        assert bags.taster == before.taster == after.taster
        believed.append(float(at(bags, after, recipe)[1].item() - np.log(before.time_s(recipe))))
        true.append(float(np.log(after.time_s(recipe) / before.time_s(recipe))))
    assert np.std(true) > 0.1
    assert ks_2samp(believed, true).pvalue > 0.001
    assert np.std(believed) == pytest.approx(np.std(true), rel=0.3)


def test_knowing_helps() -> None:
    losses = [[row["regret"] for row in insider_rows("ridge", "(insider)", task, shots=6, seed=8)] for task in range(3)]
    early, late = np.mean(losses, axis=0)[[0, 6]]
    assert late < 0.5 < early


def test_the_tables_have_every_insider(tmp_path: Path) -> None:
    own = [
        {"family": "ridge", "method": "dialopt", "task": 0, "shots": n, "regret": 1.0, "next_regret": 1.0}
        for n in (0, 1)
    ]
    pd.DataFrame(own).to_csv(tmp_path / RESULTS, index=False)
    words = [str(tmp_path), "--tasks", "1", "--shots", "1", "--seed", "8", "--jobs", "2"]
    subprocess.run([sys.executable, "-m", "experiments.insider", *words], check=True)
    losses, stops = pd.read_csv(tmp_path / INSIDER_LOSSES), pd.read_csv(tmp_path / INSIDER_STOPS)
    assert list(losses[["family", "method"]].drop_duplicates().itertuples(index=False, name=None)) == list(ALL)
    assert list(stops[["family", "method"]].itertuples(index=False, name=None)) == list(ALL)
    ridge = losses.set_index(["family", "method", "shots"]).loc[("ridge", "(insider)", 1)]
    assert ridge["against"] == pytest.approx(ridge["regret"] - 1.0, abs=1e-3)
