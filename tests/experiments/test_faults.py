"""The experiment that puts logbooks at risk, in small: kills, damage, and what can stand in the way."""

from __future__ import annotations

import json
import sys
from collections import Counter
from random import Random

import pytest

from experiments.faults.__main__ import main
from experiments.faults.damage import SHOTS, _lived_through, damage
from experiments.faults.deeds import DEEDS, Deed
from experiments.faults.kills import kill
from experiments.faults.scenes import SCENES, seen
from experiments.home import End

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
    assert kinds["empty"]["shots restored"] == 2 * SHOTS


def test_only_what_a_kill_itself_left_counts(tmp_path, monkeypatch):
    def prepared(home):
        home.mkdir(parents=True)
        (home / "old.db-journal").touch()

    def killed(home, words, *how, aimed):
        if words == [1]:
            (home / ".new.tmp").touch()
        return True, ""

    deed = Deed(words=lambda home, turn: [turn], prepared=prepared, left=lambda *about: [], tidies=())
    monkeypatch.setitem(DEEDS, "made up", deed)
    for name, stub in {
        "_lasts": lambda *about: 0.0,
        "_killed": killed,
        "damage_of": lambda home: [],
        "said": lambda *about: End(status=0, out="", err=""),
    }.items():
        monkeypatch.setattr(f"experiments.faults.kills.{name}", stub)
    found = kill("made up", 3, seed=1)
    assert (found["killed while a file was being written"], found["temporary files left"]) == (1, 2)


@pytest.mark.parametrize("status", [0, 5])
def test_a_shot_that_differs_with_nothing_said_is_unclear(tmp_path, monkeypatch, status):
    shots = {"sound": [{"id": number} for number in range(SHOTS)]}
    shots["home"] = [*shots["sound"][1:], {"id": "another"}]
    for name in ("logbook.db", "logbook.jsonl"):
        (tmp_path / name).touch()

    def said(home, *words):
        now = status if words == ("check", "--json") else 0
        told = {"data": {"aside": str(tmp_path / "logbook.db")}, "error": {"status": now} if now else None}
        return End(status=now, out=json.dumps(told), err="")

    monkeypatch.setattr("experiments.faults.damage.said", said)
    monkeypatch.setattr("experiments.faults.damage.WHAT_PEOPLE_DO", ())
    monkeypatch.setattr("experiments.faults.damage.kept", lambda home: shots["home" if home == tmp_path else "sound"])
    counts = Counter()
    said_of_it = _lived_through(tmp_path, tmp_path / "sound", Random(1), counts)
    assert said_of_it[-1] == "shots that differ with nothing said: 1"
    assert counts["shots changed unnoticed"] == 1


def test_the_report_is_written_and_says_that_all_went_well(tmp_path, monkeypatch):
    monkeypatch.setattr("experiments.faults.__main__.SCENES", {})
    monkeypatch.setattr("experiments.faults.damage.KINDS", {})
    out = tmp_path / "faults.json"
    assert main(["--times", "1", "--deeds", "log", "--out", str(out)]) == 0
    report = json.loads(out.read_text(encoding="utf-8"))
    assert (report["wrong"], report["kills"]["log"]["times"]) == (0, 1)
