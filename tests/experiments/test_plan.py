from __future__ import annotations

import pytest

from experiments.methods import ABLATED, BASELINES, METHODS
from experiments.plan import CannotStudy, families_named, methods_named, plan, task_counts
from experiments.worlds import DEVELOPMENT, WIDE


def test_groups_and_names_mix_and_nothing_comes_twice() -> None:
    assert families_named(["edge", "development", "ridge"]) == ["edge", *DEVELOPMENT]
    assert families_named(["wide", "flat"]) == list(WIDE)
    assert methods_named(["engine", "baselines", "ablations"]) == list(METHODS)
    assert methods_named(["baselines", "sobol"]) == list(BASELINES)


def test_task_counts_take_one_number_for_all_and_others_by_name_or_group() -> None:
    methods = ["dialopt", "sobol", "bask", "ablated_greedy"]
    assert task_counts(["100", "ablations=30", "bask=20"], methods) == {
        "dialopt": 100,
        "sobol": 100,
        "bask": 20,
        "ablated_greedy": 30,
    }
    assert task_counts(["sobol=2"], methods)["dialopt"] == 0
    assert "botorch" not in task_counts(["5", "botorch=3"], methods)
    for wrong in ("", "-3", "bask=", "bask=x", "2.5"):
        with pytest.raises(CannotStudy, match="number of tasks"):
            task_counts([wrong], methods)


def test_bag_after_bag_each_method_as_many_as_it_may() -> None:
    trials = plan(["ridge", "edge"], {"sobol": 2, "bask": 1})
    assert trials == [
        ("ridge", "sobol", 0),
        ("ridge", "bask", 0),
        ("edge", "sobol", 0),
        ("edge", "bask", 0),
        ("ridge", "sobol", 1),
        ("edge", "sobol", 1),
    ]
    assert plan(["ridge"], {}) == []


def test_what_can_only_repeat_another_is_left_out() -> None:
    def ran(family: str) -> set[str]:
        return {method for _, method, _ in plan([family], dict.fromkeys(METHODS, 1))}

    assert ran("carry_new_bag") == {"dialopt", "dialopt_cold"}
    assert ran("drift") == {"dialopt", *BASELINES, *ABLATED}
    assert ran("ridge") == ran("wants_longer") == ran("drift") - {"ablated_no_drift"}
