from __future__ import annotations

import json
from pathlib import Path

import pytest

from experiments.mutation import FULL, SAMPLED, lines_changed, main, sampled

REPORT = Path(__file__).parents[2] / "reports" / "mutation.json"


def test_the_lines_that_differ_are_read_off_a_difference() -> None:
    difference = "--- stop.py\n+++ stop.py\n@@ -1,3 +1,3 @@\n def f():\n-    return a < b\n+    return a <= b\n"
    assert lines_changed(difference) == ("return a < b", "return a <= b")


def test_a_sample_is_the_same_whatever_the_order() -> None:
    names = [f"mutant {number}" for number in range(50)]
    chosen = sampled(names, 0.1, seed=3)
    assert len({*chosen}) == 5
    assert chosen == sampled(names[::-1], 0.1, seed=3) != sampled(names, 0.1, seed=4)


def test_without_mutants_nothing_is_counted_and_the_report_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("report.json").write_text("with every why", "utf-8")
    assert main(["--only-count", "--out", "report.json"]) == 2
    assert "no mutant" in capsys.readouterr().err
    assert Path("report.json").read_text("utf-8") == "with every why"


@pytest.mark.skipif(not REPORT.exists(), reason="the mutants of this version haven't been run yet")
def test_the_committed_report_adds_up_and_every_survivor_is_listed() -> None:
    report = json.loads(REPORT.read_text("utf-8"))
    modules = {module["module"]: module for module in report["modules"]}
    assert {*modules} <= {*FULL, *SAMPLED}
    assert len(modules) > 20
    for name, module in modules.items():
        assert module["run"] == module["killed"] + module["survived"] + module["other"] <= module["made"]
        survivors = [one for one in report["survivors"] if one["mutant"].split(".")[0] == name]
        assert len(survivors) == module["survived"]
        assert sum(bool(one["why"]) for one in survivors) == module["explained"]
    for column, total in report["total"].items():
        if column != "killed_pct":
            assert total == sum(module[column] for module in modules.values())
