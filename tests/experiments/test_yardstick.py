from __future__ import annotations

import pandas as pd
import pytest

from dialopt import Recipe
from experiments.trial import world_seed
from experiments.worlds import make
from experiments.yardstick import right_grind_regret, yardstick


def test_the_right_grind_is_the_best_of_all_grinds_at_the_middle_of_the_rest() -> None:
    world = make("ridge", world_seed(3, 1))
    _, dose, temp = world.pairing.dials.values()
    middle = [dial.settings()[(dial.count - 1) // 2] for dial in (dose, temp)]
    by_hand = [
        world.regret(Recipe(grind=grind, dose_g=middle[0], temp_c=middle[1]))
        for grind in world.pairing.grinder.grind.settings()
    ]
    assert right_grind_regret(world) == pytest.approx(min(by_hand))
    assert min(by_hand) > 0


def test_a_row_for_each_kind_of_bag_but_second_bags() -> None:
    tasks = {"ridge": 3, "edge": 2, "carry_new_bag": 2}
    results = pd.DataFrame(
        [
            {"family": family, "task": task, "method": method}
            for family, count in tasks.items()
            for method in ("dialopt", "sobol")
            for task in range(count)
        ]
    )
    table = yardstick(results, seed=3).set_index("family")
    assert list(table.index) == ["ridge", "edge"]
    assert list(table["tasks"]) == [3, 2]
    losses = [right_grind_regret(make("ridge", world_seed(3, task))) for task in range(3)]
    assert table.loc["ridge", "regret"] == pytest.approx(sum(losses) / 3, abs=1e-4)
