from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pandas as pd
import pytest

from dialopt import Recipe, Shot
from experiments import drunk, drunk_page
from experiments.drunk import Cup, drink, sized, stopper
from experiments.methods import METHODS
from experiments.trial import world_seed
from experiments.worlds import make


def test_a_bag_is_as_large_as_its_cups() -> None:
    world = make("drift", 3)
    for cups, bag_g in drunk.BAGS_G.items():
        assert sized(world, cups).pairing.bag_g == bag_g
        assert sized(world, cups).at(9).pairing.bag_g == bag_g
        assert sized(world, cups).at(9).best_liking == world.at(9).best_liking


@pytest.mark.parametrize("tests", [2, 4])
def test_who_stops_testing_drinks_the_best_scoring_cup(tests: int) -> None:
    rows = drink("ridge", "rule_of_thumb_4", 1, 6, shots=0, seed=3)
    assert [row["logged"] for row in rows] == [True] * 4 + [False] * 2
    assert len({row["regret"] for row in rows[4:]}) == 1
    world = make("ridge", world_seed(3, 1))
    shots = [world.pull(Recipe(grind=world.best.grind, dose_g=world.best.dose_g, temp_c=world.best.temp_c), rng)
             for rng in (drunk.shot_rng("ridge", world.seed, number) for number in range(tests))]  # fmt: skip
    stopped = stopper("rule_of_thumb", tests)(world.pairing, 0)(shots)
    assert stopped == Cup(METHODS["rule_of_thumb"](world.pairing, 0).recommend(shots), False)
    assert stopper("rule_of_thumb", tests)(world.pairing, 0)(shots[:-1]).logged


def test_who_follows_dialopt_logs_until_more_tests_do_not_help(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []

    def drinker(shots: Sequence[Shot]) -> Cup:
        seen.append(len(shots))
        return Cup(make("ridge", world_seed(3, 1)).best, len(shots) < 2)

    monkeypatch.setitem(drunk.DRINKERS, "somebody", lambda pairing, seed: drinker)
    rows = drink("ridge", "somebody", 1, 6, shots=0, seed=3)
    assert seen == [0, 1, 2], "once settled, it is drunk and no longer logged"
    assert [row["regret"] for row in rows] == [0.0] * 6


def test_the_best_rule_of_thumb_is_the_opponent() -> None:
    def rows(method: str, *losses: float) -> list[dict[str, object]]:
        same = {"family": "ridge", "cups": 2, "method": method, "logged": True}
        return [
            same | {"task": task, "cup": cup, "regret": regret} for task, regret in enumerate(losses) for cup in (1, 2)
        ]

    every = [*rows("rule_of_thumb_4", 1.0, 2.0), *rows("rule_of_thumb_6", 1.0, 1.0), *rows("dialopt", 0.25, 0.75)]
    table = drunk.drunk(pd.DataFrame(every), seed=1).set_index("method")
    assert table.loc["dialopt", ["lost", "half_pct", "worst_tenth", "tests", "against", "ratio"]].tolist() == [
        0.5,
        50.0,
        0.75,
        2.0,
        -0.5,
        0.5,
    ]
    assert table["against"].isna().to_dict() == {"dialopt": False, "rule_of_thumb_4": False, "rule_of_thumb_6": True}


def test_what_is_there_is_not_run_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = [
        "--families",
        "ridge",
        "--methods",
        "rule_of_thumb_4",
        "--cups",
        "6",
        "--seed",
        "3",
        "--out",
        str(tmp_path),
    ]
    assert drunk.main([*words, "--tasks", "1"]) == 0
    one = pd.read_csv(tmp_path / drunk.ROWS)
    assert drunk.main([*words, "--tasks", "2"]) == 0
    two = pd.read_csv(tmp_path / drunk.ROWS)
    assert (len(one), len(two)) == (6, 12)
    pd.testing.assert_frame_equal(one, two[two["task"] == 0].reset_index(drop=True))
    assert "rule_of_thumb_4" in capsys.readouterr().out


def test_the_page_says_what_the_table_says(tmp_path: Path) -> None:
    words = ["--families", "ridge", "--cups", "6", "--seed", "3", "--out", str(tmp_path / "drunk")]
    assert drunk.main([*words, "--tasks", "2", "--methods", "rule_of_thumb_4,rule_of_thumb_6"]) == 0
    rows = pd.read_csv(tmp_path / "drunk" / drunk.ROWS)
    own = rows[rows["method"] == "rule_of_thumb_4"].assign(method="dialopt", regret=0.25)
    both = pd.concat([rows, own])
    both.to_csv(tmp_path / "drunk" / drunk.ROWS, index=False)
    table = drunk.drunk(both, 3)
    table.to_csv(tmp_path / "drunk" / drunk.TABLE, index=False)
    page = tmp_path / "drunk.html"
    assert drunk_page.main([str(tmp_path / "drunk"), "--out", str(page)]) == 0
    text = page.read_text(encoding="utf-8")
    row = table.set_index("method").loc["rule_of_thumb_4"]
    assert f"{row['lost']:.2f} ({row['lost_low']:.2f}–{row['lost_high']:.2f})" in text
    assert "dialopt (line): cup 1 loses\n0.25" in text
    assert "Bags of 6 cups" in text
    assert "http" not in text
