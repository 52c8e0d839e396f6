from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from experiments.page import TITLES, compose, main
from experiments.plan import FAMILY_GROUPS
from experiments.tables import earned, stopping, summarise, yardstick
from tests.browser import DESK, IN_A_BROWSER, PHONE, Browser

TASKS = {"dialopt": 8, "rule_of_thumb": 8, "bask": 3, "ablated_no_clock": 5}


def results(families: tuple[str, ...] = ("ridge",)) -> pd.DataFrame:
    rng = np.random.default_rng(0)
    rows = []
    for family in families:
        for method, scale in (("dialopt", 1.0), ("rule_of_thumb", 2.0), ("bask", 3.0), ("ablated_no_clock", 9.0)):
            for task in range(TASKS[method]):
                for shots in range(13):
                    regret = scale * rng.uniform(0.5, 1) / (1 + shots)
                    row = {"family": family, "method": method, "task": task, "shots": shots, "regret": regret}
                    row |= {"close": regret <= 0.5, "next_regret": regret}
                    if method in ("dialopt", "ablated_no_clock"):
                        row |= {f"in{level}": rng.uniform() < level / 100 for level in (50, 80, 90)}
                        row |= {f"predicted{level}": rng.uniform() < level / 100 for level in (50, 80, 90)}
                        row |= {"region_share": 0.3, "prob_near_optimal": 0.625, "settled": shots >= 9}
                    rows.append(row)
    return pd.DataFrame(rows)


def written(folder: Path, table: pd.DataFrame) -> Path:
    tables = {"summary": summarise(table, "dialopt", 0), "stopping": stopping(table), "earned": earned(table, 0)}
    for name, part in (tables | {"yardstick": yardstick(table, 4)}).items():
        if len(part):
            part.to_csv(folder / f"{name}.csv", index=False)
    about = {"dialopt": "0.1.0", "seed": 4, "shots": 12, "against": "dialopt", "packages": {"bask": "9.8.7"}}
    (folder / "about.json").write_text(json.dumps(about))
    return folder


def test_the_page_says_what_the_summary_says(tmp_path: Path) -> None:
    table = results()
    page = compose(written(tmp_path, table))
    summary = summarise(table, "dialopt", 0).set_index(["method", "shots"])
    own, rule = summary.loc[("dialopt", 6)], summary.loc[("rule_of_thumb", 6)]
    assert f"{own['regret']:.2f} ({own['regret_low']:.2f}–{own['regret_high']:.2f})" in page
    assert f"+{rule['against']:.2f} (+{rule['against_low']:.2f} to +{rule['against_high']:.2f})" in page
    assert "Development families" in page
    assert "Held-out families" not in page
    assert "<td>62 %</td>" in page
    assert "<td>100 %</td><td>9</td>" in page
    assert "http" not in page


def test_the_page_shows_what_one_would_lose_who_knows_all_but_the_surface(tmp_path: Path) -> None:
    folder = written(tmp_path, results(("bumpy_ridge", "ridge")))
    assert "knows all but the surface" not in compose(folder)
    rows = [
        {"family": "bumpy_ridge", "shots": shots, "tasks": 5, "regret": 0.4321, "error": 0.0123, "close_pct": 77.0}
        for shots in (3, 6)
    ]
    pd.DataFrame(rows).to_csv(folder / "oracle.csv", index=False)
    page = compose(folder)
    assert page.count('scope="row">(knows all but the surface)</th><td>5</td>') == 1
    assert page.count("<td>0.43 (± 0.01)</td><td>77 %</td>") == 2


def test_the_page_shows_what_an_insider_loses_and_when_it_settles(tmp_path: Path) -> None:
    table = results()
    folder = written(tmp_path, table)
    assert "insider" not in compose(folder)
    own = table[table["method"] == "dialopt"]
    both = pd.concat([own, own.assign(method="(insider)", regret=own["regret"] / 2)], ignore_index=True)
    losses, stops = summarise(both, "dialopt", 0), stopping(both)
    losses[losses["method"] != "dialopt"].to_csv(folder / "insider.csv", index=False)
    stops[stops["method"] != "dialopt"].to_csv(folder / "insider_stopping.csv", index=False)
    page = compose(folder)
    row = losses.set_index(["method", "shots"]).loc[("(insider)", 6)]
    assert f"{row['regret']:.2f} ({row['regret_low']:.2f}–{row['regret_high']:.2f})" in page
    assert f"−{-row['against']:.2f} (−" in page
    assert page.count('scope="row">(insider)</th><td>8</td>') == 1
    assert page.count('scope="row">ridge (insider)</th><td>100 %</td><td>9</td>') == 1


def test_the_page_says_who_ran_on_fewer_bags_and_in_which_version(tmp_path: Path) -> None:
    page = compose(written(tmp_path, results()))
    assert "ran on fewer bags: bask 3." in page
    assert "bask (9.8.7)" in page


def test_the_page_says_what_each_part_earns(tmp_path: Path) -> None:
    table = results(("ridge", "edge"))
    page = compose(written(tmp_path, table))
    assert page.count('<th class="name words" scope="row">the shot time</th>') == 2  # once a group
    line = earned(table, 0).set_index(["group", "shots"]).loc[("held_out", 6)]
    cell = f'<td class="sure">+{line["gap"]:.2f} (+{line["gap_low"]:.2f} to +{line["gap_high"]:.2f})</td>'
    assert cell in page
    assert f"−{abs(line['close_gap']):.0f} (−" in page
    assert "ablated_no_clock" not in page


def test_every_group_of_families_has_a_title_of_its_own(tmp_path: Path) -> None:
    assert set(TITLES) == set(FAMILY_GROUPS)
    assert len(set(TITLES.values())) == len(TITLES)
    page = compose(written(tmp_path, results(("ridge", "wants_longer"))))
    assert TITLES["wide"] in page
    assert "wants_longer" in page


def test_a_study_of_few_shots_and_no_dialopt_has_a_page_too(tmp_path: Path) -> None:
    table = results()
    few = table[(table["shots"] <= 3) & (table["method"] == "bask")].dropna(axis=1)
    assert main([str(written(tmp_path, few)), "--out", str(tmp_path / "page.html")]) == 0
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert "<td>–</td>" in page
    assert "When it says stop" not in page
    assert "What each part earns" not in page


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [PHONE, DESK])
class TestInABrowser:
    pytestmark = IN_A_BROWSER

    def test_the_page_scrolls_within_its_tables_and_keeps_nobody_out(
        self, browser: Browser, tmp_path: Path, width: int, scheme: str
    ) -> None:
        path = tmp_path / "page.html"
        path.write_text(compose(written(tmp_path, results(("ridge", "edge")))), encoding="utf-8")
        browser.show(path, width=width, scheme=scheme)
        assert browser.sideways() <= 0
        assert browser.barriers() == []
        if width == PHONE:
            assert browser.run("const box = document.querySelector('.wide'); return box.scrollWidth > box.clientWidth")
