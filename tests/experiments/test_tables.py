from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from dialopt import Recipe
from experiments.tables import earned, right_grind_regret, stopping, summarise, yardstick
from experiments.trial import world_seed
from experiments.worlds import make


def rows_of(method: str, losses: list[float], **more: object) -> list[dict[str, object]]:
    return [
        {"family": "f", "method": method, "task": task, "shots": 6, "regret": regret, "next_regret": 1.0, **more}
        for task, regret in enumerate(losses)
    ]


def test_the_summary_pairs_methods_by_task() -> None:
    """Losses that differ by exactly 1 on each task: the paired interval has no width, though the losses spread."""
    mine = [0.0, 1.0, 2.0, 3.0]
    table = summarise(pd.DataFrame(rows_of("a", mine) + rows_of("b", [x + 1 for x in mine])), "a", seed=0)
    a, b = table[table["method"] == "a"].iloc[0], table[table["method"] == "b"].iloc[0]
    assert (a["regret"], b["regret"], a["close_pct"]) == (1.5, 2.5, 25.0)
    assert (b["against_low"], b["against"], b["against_high"]) == (1.0, 1.0, 1.0)
    assert a["regret_low"] < 1.5 < a["regret_high"]
    assert a["worst_decile"] == 3.0
    assert np.isnan(a["against"])


def test_the_bootstrap_interval_is_about_that_of_the_normal() -> None:
    losses = list(np.random.default_rng(0).normal(5, 1, 400))
    row = summarise(pd.DataFrame(rows_of("a", losses)), "a", seed=0).iloc[0]
    assert row["regret_high"] - row["regret_low"] == pytest.approx(2 * 1.96 * np.std(losses) / 20, rel=0.1)


def test_stopping_counts_the_first_settled_shot_of_each_bag() -> None:
    rows = []
    for task, (settles, regret) in enumerate([(4, 0.1), (6, 0.9), (99, 0.2)]):
        for shots in range(9):
            row = {"family": "f", "method": "m", "task": task, "shots": shots, "regret": regret}
            rows.append(row | {"settled": shots >= settles, "prob_near_optimal": 0.8, "in90": task == 0})
    line = stopping(pd.DataFrame(rows)).iloc[0]
    assert line["settled_pct"] == pytest.approx(66.6667)
    assert (line["by_shot"], line["off_pct"], line["stated_pct"], line["in90_pct"]) == (6, 50, 80, 50)


def ablated_rows(family: str, method: str, losses: list[float], shots: int = 6) -> list[dict[str, object]]:
    return [
        {"family": family, "method": method, "task": task, "shots": shots, "regret": regret, "close": regret <= 0.5}
        | {"in90": regret < 0.9, "prob_near_optimal": 0.5}
        for task, regret in enumerate(losses)
    ]


def test_a_part_is_compared_on_the_bags_that_both_have() -> None:
    """0.25 more loss on each of three bags, the whole having a fourth: the interval has no width."""
    whole = ablated_rows("ridge", "dialopt", [0.0, 0.4, 1.0, 9.0])
    table = earned(pd.DataFrame(whole + ablated_rows("ridge", "ablated_greedy", [0.25, 0.65, 1.25])), seed=0)
    [line] = table.to_dict("records")
    assert (line["group"], line["method"], line["shots"], line["tasks"], line["families"]) == (
        "development",
        "ablated_greedy",
        6,
        3,
        1,
    )
    assert (line["gap_low"], line["gap"], line["gap_high"]) == (0.25, 0.25, 0.25)
    assert line["whole_regret"] == pytest.approx(1.4 / 3, abs=1e-4)
    assert line["close_gap"] == pytest.approx(-100 / 3, abs=1e-3)
    assert (line["in90"], line["whole_in90"]) == (pytest.approx(2 / 3, abs=1e-4), pytest.approx(2 / 3, abs=1e-4))


def test_families_count_alike_and_groups_apart() -> None:
    table = earned(
        pd.DataFrame(
            ablated_rows("ridge", "dialopt", [0.0] * 8)
            + ablated_rows("ridge", "ablated_greedy", [1.0] * 8)
            + ablated_rows("cliff", "dialopt", [0.0] * 2)
            + ablated_rows("cliff", "ablated_greedy", [2.0] * 2)
            + ablated_rows("edge", "dialopt", [1.0] * 4)
            + ablated_rows("edge", "ablated_greedy", [0.0] * 4)
        ),
        seed=0,
    )
    by_group = table.set_index("group")
    assert (by_group.loc["development", "gap"], by_group.loc["held_out", "gap"]) == (1.5, -1.0)
    assert by_group.loc["development", "tasks"] == 10


def test_without_ablations_there_is_nothing_to_say() -> None:
    assert earned(pd.DataFrame(ablated_rows("ridge", "dialopt", [0.0])), seed=0).empty


@pytest.mark.parametrize("family", ["ridge", "wants_longer"])
def test_the_right_grind_is_the_best_of_all_grinds_at_the_middle_of_the_rest(family: str) -> None:
    world = make(family, world_seed(3, 1))
    _, *rest = world.pairing.dials.values()
    dose_g, temp_c, ratio = (dial.settings()[(dial.count - 1) // 2] for dial in rest)
    by_hand = [
        world.regret(Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c, ratio=ratio))
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
