from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from experiments.earned import earned


def rows(family: str, method: str, losses: list[float], shots: int = 6) -> list[dict[str, object]]:
    return [
        {"family": family, "method": method, "task": task, "shots": shots, "regret": regret, "close": regret <= 0.5}
        | {"in90": regret < 0.9, "prob_near_optimal": 0.5}
        for task, regret in enumerate(losses)
    ]


def test_a_part_is_compared_on_the_bags_that_both_have() -> None:
    """0.25 more loss on each of three bags, the whole having a fourth: the interval has no width."""
    whole = rows("ridge", "dialopt", [0.0, 0.4, 1.0, 9.0])
    table = earned(pd.DataFrame(whole + rows("ridge", "ablated_greedy", [0.25, 0.65, 1.25])), seed=0)
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
            rows("ridge", "dialopt", [0.0] * 8)
            + rows("ridge", "ablated_greedy", [1.0] * 8)
            + rows("cliff", "dialopt", [0.0] * 2)
            + rows("cliff", "ablated_greedy", [2.0] * 2)
            + rows("edge", "dialopt", [1.0] * 4)
            + rows("edge", "ablated_greedy", [0.0] * 4)
        ),
        seed=0,
    )
    by_group = table.set_index("group")
    assert (by_group.loc["development", "gap"], by_group.loc["held_out", "gap"]) == (1.5, -1.0)
    assert by_group.loc["development", "tasks"] == 10


def test_the_interval_is_about_that_of_the_normal() -> None:
    rng = np.random.default_rng(0)
    base, gap = rng.normal(5, 3, 400), rng.normal(0.5, 1, 400)
    table = earned(
        pd.DataFrame(rows("ridge", "dialopt", list(base)) + rows("ridge", "ablated_greedy", list(base + gap))), seed=0
    )
    line = table.iloc[0]
    assert line["gap_high"] - line["gap_low"] == pytest.approx(2 * 1.96 * np.std(gap) / 20, rel=0.1)


def test_without_ablations_there_is_nothing_to_say() -> None:
    assert earned(pd.DataFrame(rows("ridge", "dialopt", [0.0])), seed=0).empty
