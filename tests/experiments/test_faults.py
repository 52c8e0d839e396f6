"""The experiment that puts logbooks at risk, in small: kills, damage, and what can stand in the way."""

from __future__ import annotations

import json
import sys

import pytest

from experiments.faults.__main__ import main
from experiments.faults.damage import damage
from experiments.faults.deeds import DEEDS
from experiments.faults.kills import kill
from experiments.faults.scenes import SCENES, seen

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="kills and resource limits as Linux has them"),
]


@pytest.mark.parametrize("name", DEEDS)
def test_nothing_confirmed_is_lost_to_a_kill(name):
    found = kill(name, 2, seed=11)
    assert found["wrong"] == []
    assert found["times"] == 2


@pytest.mark.parametrize("name", SCENES)
def test_what_stands_in_the_way_is_said(name):
    scene = seen(name)
    if "skipped" in scene:
        pytest.skip(scene["skipped"])
    assert scene["wrong"] == []
    assert scene["ends"]


def test_damage_is_told_and_mended():
    found = damage(2, seed=11, jobs=2)
    assert found["unclear"] == []
    kinds = found["kinds"]
    assert kinds["empty"]["told"] == kinds["another kind of file"]["told"] == 2
    assert sum(kind["shots changed unnoticed"] for kind in kinds.values()) == 0
    assert kinds["a hundred bytes flipped"]["shots salvaged"] > 0


def test_the_report_is_written_and_says_that_all_went_well(tmp_path, monkeypatch):
    monkeypatch.setattr("experiments.faults.__main__.SCENES", {})
    monkeypatch.setattr("experiments.faults.damage.KINDS", {})
    out = tmp_path / "faults.json"
    assert main(["--times", "1", "--deeds", "log", "--out", str(out)]) == 0
    report = json.loads(out.read_text(encoding="utf-8"))
    assert (report["wrong"], report["kills"]["log"]["times"]) == (0, 1)
