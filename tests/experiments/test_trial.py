from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace

import numpy as np
import pytest

from dialopt import Pairing, Recipe, Shot
from experiments.methods import METHODS, Method
from experiments.methods.method import best_scoring, middle
from experiments.trial import bag, follow, run, shot_rng
from experiments.worlds import World, make

OWN = ["rule_of_thumb", "sobol", "quadratic", "skopt_default", "skopt_eager"]


class AtRandom:
    """Random recipes, the best-scoring one recommended."""

    def __init__(self, pairing: Pairing, seed: int) -> None:
        self.pairing, self.rng = pairing, np.random.default_rng(seed)

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        dials = self.pairing.dials.items()
        return Recipe(**{name: float(self.rng.choice(dial.settings())) for name, dial in dials})

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        return best_scoring(self.pairing, shots)


class Known:
    """Always the same recipe, sure of it after two shots; keeps what it was shown."""

    def __init__(self, recipe: Recipe) -> None:
        self.recipe, self.seen = recipe, list[Shot]()

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        self.seen = list(shots)
        return self.recipe

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        return self.recipe

    def advice(self, shots: Sequence[Shot]) -> SimpleNamespace:
        """Regions that hold nothing at 50 %, its recipe at 80 %, and at 90 % whatever is no hotter."""
        scores = {0.5: (11, 12), 0.8: (0, 5), 0.9: (0, 10)}

        def contains(recipe: Recipe, level: float) -> bool:
            return recipe.temp_c <= self.recipe.temp_c if level > 0.8 else level == 0.8 and recipe == self.recipe

        def predicted(recipe: Recipe, level: float) -> SimpleNamespace:
            low, high = scores[level]
            return SimpleNamespace(score=SimpleNamespace(low=low, high=high))

        spot = SimpleNamespace(contains=contains, prob_near_optimal=0.75)
        return SimpleNamespace(
            sweet_spot=spot,
            predict_outcome=predicted,
            next_recipe=self.recipe,
            settled=len(shots) >= 2,
            gp_weight=0.25,
        )


@pytest.mark.parametrize(("name", "family"), [*((name, "weak_dial") for name in OWN), ("rule_of_thumb", "ridge")])
def test_a_trial_is_deterministic_and_stays_on_the_dials(name: str, family: str) -> None:
    rows, again = (run(family, name, 1, shots=5, seed=2) for _ in range(2))
    assert [row["shots"] for row in rows] == list(range(6))
    assert rows == again
    assert all(row["regret"] >= 0 and row["close"] == (row["regret"] <= 0.5) for row in rows)


def test_methods_share_the_luck_of_each_shot() -> None:
    """Two methods that pull the same recipe at the same shot note the same cup, whatever they pulled before."""
    world = make("ridge", 200_001)
    still, wanderer = Known(world.best), Known(middle(world.pairing))
    follow(world, still, "ridge", "still", 1, 4)
    wanderer.ask = lambda shots: _remember(wanderer, shots, world)  # type: ignore[method-assign]
    follow(world, wanderer, "ridge", "wanderer", 1, 4)
    assert [shot.recipe for shot in wanderer.seen] != [shot.recipe for shot in still.seen]
    assert wanderer.seen[-1] == still.seen[-1]


def _remember(method: Known, shots: Sequence[Shot], world: World) -> Recipe:
    method.seen = list(shots)
    return world.best if len(shots) == 3 else method.recipe


def test_luck_differs_between_shots_tasks_and_families() -> None:
    draws = {
        shot_rng(family, seed, index).random() for family in ("ridge", "cliff") for seed in (1, 2) for index in (0, 1)
    }
    assert len(draws) == 8


def test_rows_tell_whether_the_region_and_the_predicted_intervals_held() -> None:
    world = make("ridge", 3)
    rows = follow(world, Known(world.best), "ridge", "known", 0, 3)
    assert all(row["regret"] == 0 and row["close"] for row in rows)
    assert all((row["in50"], row["in80"], row["in90"]) == (False, True, True) for row in rows)
    assert all(not row["predicted50"] and row["predicted90"] for row in rows)
    assert [row["settled"] for row in rows] == [False, False, True, True]
    [share] = {row["region_share"] for row in rows}
    assert 0.1 < share < 0.9


def test_the_rule_of_thumb_beats_random_choice_on_a_ridge() -> None:
    rule, chance = [], []
    for task in range(20):
        world, _ = bag("ridge", 700_000 + task)
        methods: list[tuple[list[float], Method]] = [
            (rule, METHODS["rule_of_thumb"](world.pairing, task)),
            (chance, AtRandom(world.pairing, task)),
        ]
        for losses, method in methods:
            losses.append(follow(world, method, "ridge", "any", task, 6)[-1]["regret"])
    assert np.mean(rule) < 0.7 * np.mean(chance)


def test_a_second_bag_comes_with_the_shots_of_the_first() -> None:
    world, earlier = bag("carry_new_bag", 4)
    [(pairing, shots)] = earlier
    assert pairing.grinder == world.pairing.grinder
    assert pairing.bean != world.pairing.bean
    assert len(shots) == 10
    assert bag("carry_new_bag", 4)[1] == earlier
    assert bag("ridge", 4)[1] == ()
