from __future__ import annotations

import importlib
from dataclasses import replace
from importlib.util import find_spec

import numpy as np
import pytest

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot
from experiments.methods import METHODS, Absent
from experiments.methods.method import (
    FIRST_SHOTS,
    best_scoring,
    from_indices,
    from_unit,
    middle,
    opening,
    to_indices,
    to_unit,
    unit_grid,
)
from experiments.methods.rule_of_thumb import RuleOfThumb
from experiments.worlds import make

OPTIONAL = {"optuna_tpe": "optuna", "optuna_gp": "torch", "bask": "bask", "botorch": "botorch"}


def bench(finer: str = "down", temp_c: Dial | None = None, ratio: float | Dial = 2.0) -> Pairing:
    return Pairing(
        bean=Bean(name="trial bean"),
        grinder=Grinder(name="trial grinder", grind=Dial(0, 36, 1), finer=finer),
        machine=Machine(name="trial machine", temp_c=temp_c or Dial(88, 96, 1)),
        basket=Basket(dose_g=Dial(16, 20, 0.5)),
        ratio=ratio,
    )


def pulled(recipe: Recipe, time_s: float, score: float = 6, balance: float | None = 0) -> Shot:
    return Shot(recipe=recipe, time_s=time_s, score=score, balance=balance)


@pytest.mark.parametrize(("finer", "sign"), [("down", -1), ("up", 1)])
def test_too_fast_goes_finer_and_a_turn_halves_the_move(finer: str, sign: int) -> None:
    rule = RuleOfThumb(bench(finer))
    first = rule.ask([])
    assert first == middle(bench())
    shots = [pulled(first, time_s=15)]
    second = rule.ask(shots)
    assert second.grind == first.grind + 6 * sign
    shots.append(pulled(second, time_s=45))
    third = rule.ask(shots)
    assert third.grind == second.grind - 3 * sign
    assert (third.dose_g, third.temp_c) == (first.dose_g, first.temp_c)


def test_in_its_time_the_note_decides_and_then_temperature_and_dose_are_tried() -> None:
    rule = RuleOfThumb(bench())
    start = rule.ask([])
    shots = [pulled(start, time_s=28, balance=-2)]
    sour = rule.ask(shots)
    assert sour.grind < start.grind
    shots.append(pulled(sour, time_s=28, score=7))
    hotter = rule.ask(shots)
    assert (hotter.grind, hotter.temp_c) == (sour.grind, sour.temp_c + 1)
    shots.append(pulled(hotter, time_s=28, score=5))
    cooler = rule.ask(shots)
    assert cooler.temp_c == sour.temp_c - 1
    assert rule.recommend(shots) == sour


@pytest.mark.parametrize(("balance", "moved"), [(-2, 0.3), (2, -0.3)])
def test_where_the_ratio_varies_the_note_of_a_cup_in_its_time_moves_that(balance: int, moved: float) -> None:
    rule = RuleOfThumb(bench(ratio=Dial(1.4, 3.0, 0.1)))
    start = rule.ask([])
    then = rule.ask([pulled(start, time_s=28, balance=balance)])
    assert then.ratio == pytest.approx(rule.pairing.ratio_of(start) + moved)
    assert then == replace(start, ratio=then.ratio)
    too_fast = rule.ask([pulled(start, time_s=15, balance=balance)])
    assert too_fast == replace(start, grind=too_fast.grind)
    assert too_fast.grind < start.grind


def test_the_best_scoring_of_equals_is_the_latest() -> None:
    pairing = bench()
    one, two = (Recipe(grind=grind, dose_g=18, temp_c=92) for grind in (10, 12))
    assert best_scoring(pairing, [pulled(one, 25, 7), pulled(two, 25, 7), pulled(one, 25, 6)]) == two
    assert best_scoring(pairing, []) == middle(pairing)


def test_indices_and_unit_places_come_back_and_skip_fixed_dials() -> None:
    pairing = bench(temp_c=Dial(93, 93))
    recipe = Recipe(grind=9, dose_g=17.5, temp_c=93, ratio=2)
    assert to_indices(pairing, recipe) == [9, 3]
    assert from_indices(pairing, [9, 3]) == recipe
    assert from_unit(pairing, to_unit(pairing, recipe)) == recipe
    assert unit_grid(pairing).shape == (25 * 9, 2)


def test_a_ratio_that_varies_is_a_place_like_any_other() -> None:
    pairing = bench(temp_c=Dial(93, 93), ratio=Dial(1.5, 2.5, 0.1))
    recipe = Recipe(grind=9, dose_g=17.5, temp_c=93, ratio=1.8)
    assert to_indices(pairing, recipe) == [9, 3, 3]
    assert from_indices(pairing, [9, 3, 3]) == recipe
    assert from_unit(pairing, to_unit(pairing, recipe)) == recipe
    assert unit_grid(pairing).shape == (25 * 9 * 11, 3)


def test_the_opening_is_the_middle_and_then_spread_out() -> None:
    pairing = bench()
    first = opening(pairing, 7)
    assert first[0] == middle(pairing)
    assert len(set(first)) == FIRST_SHOTS
    assert first == opening(pairing, 7) != opening(pairing, 8)
    assert all(pairing.check(recipe) for recipe in first)


@pytest.mark.parametrize("name", ["quadratic", "skopt_eager", *OPTIONAL])
def test_general_optimisers_share_the_opening(name: str) -> None:
    world = make("ridge", 2)
    try:
        method = METHODS[name](world.pairing, 3)
    except Absent as absent:
        pytest.skip(str(absent))
    shots: list[Shot] = []
    for index in range(FIRST_SHOTS):
        shots.append(world.pull(method.ask(shots), np.random.default_rng(index)))
    assert [shot.recipe for shot in shots] == opening(world.pairing, 3)


def test_the_quadratic_finds_the_top_of_a_quadratic() -> None:
    pairing, target = bench(), np.array([0.4, 0.7, 0.3])
    method = METHODS["quadratic"](pairing, 0)
    shots: list[Shot] = []
    for _ in range(20):
        recipe = method.ask(shots)
        score = 8 - 12 * float(np.sum((to_unit(pairing, recipe) - target) ** 2))
        shots.append(pulled(recipe, time_s=25, score=max(score, 0)))
    assert np.abs(to_unit(pairing, method.recommend(shots)) - target).max() < 0.15


@pytest.mark.parametrize("name", OPTIONAL)
def test_an_absent_package_is_said_so(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    real = importlib.import_module

    def without(wanted: str, package: str | None = None) -> object:
        if wanted == OPTIONAL[name]:
            raise ImportError(wanted)
        return real(wanted, package)

    monkeypatch.setattr(importlib, "import_module", without)
    with pytest.raises(Absent, match=OPTIONAL[name]):
        METHODS[name](bench(), 0)


@pytest.mark.parametrize("name", OPTIONAL)
def test_optional_methods_run_where_their_package_is_installed(name: str) -> None:
    if find_spec(OPTIONAL[name]) is None or (name.startswith("optuna") and find_spec("optuna") is None):
        pytest.skip(f"{OPTIONAL[name]} isn't installed")
    world = make("weak_dial", 1)
    method = METHODS[name](world.pairing, 3)
    shots: list[Shot] = []
    for index in range(6):
        recipe = world.pairing.check(method.ask(shots))
        assert world.pairing.check(method.recommend(shots))
        shots.append(world.pull(recipe, np.random.default_rng([4, index])))
