from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from dialopt.demo import scenario
from dialopt.engine.advise import advise
from dialopt.logbook.records import LastPull, PairingRecord
from dialopt.logbook.spreadsheet import read_csv
from dialopt.shell.render import advice_data


def test_the_shots_fit_the_bench_and_are_many_enough_to_tell_something():
    pairing = scenario.pairing()
    with scenario.shots_file() as file:
        shots = read_csv(file)
    assert len(shots) == 10
    for shot in shots:
        pairing.check(shot.recipe)
        assert shot.tasted
        assert shot.timed
        assert shot.pulled_at is not None
        assert shot.pulled_at < scenario.LOOKED_AT
        assert shot.pulled_at.date() > pairing.bean.roasted_on
    times = [shot.pulled_at for shot in shots]
    assert times == sorted(times)
    advice = advise(pairing, shots)
    prior = advise(pairing, [])
    assert advice.sweet_spot.prob_near_optimal > prior.sweet_spot.prob_near_optimal


def test_the_shots_of_the_other_bags_fit_their_benches():
    pulled = []
    for name, pairing in scenario.pairings().items():
        with scenario.shots_file(name) as file:
            shots = read_csv(file)
        for shot in shots:
            pairing.check(shot.recipe)
            assert pairing.bean.roasted_on < shot.pulled_at.date()
            assert shot.pulled_at < scenario.LOOKED_AT_ALL
        pulled.append([shot.pulled_at for shot in shots])
    times = [time for bag in pulled for time in bag]
    assert times == sorted(times), "one bag after the other"
    assert [len(bag) for bag in pulled] == [10, 3, 8, 5]


def test_everything_is_visibly_invented():
    for pairing in scenario.pairings().values():
        assert "(invented)" in pairing.bean.name
        assert "(invented)" in pairing.bean.roaster
        assert all("demo" in part.name for part in (pairing.grinder, pairing.machine, pairing.basket))


@pytest.mark.slow
def test_the_demo_runs_the_whole_job_and_leaves_the_own_logbook_alone(tmp_path):
    home, out, beside = tmp_path / "home", tmp_path / "demo.html", tmp_path / "beside.html"
    beside.write_text("another file")
    words = ("demo", "--out", str(out), "--side-by-side", str(beside), "--replace", "--json")
    done = subprocess.run(
        [sys.executable, "-m", "dialopt", *words],
        capture_output=True,
        text=True,
        env={**os.environ, "DIALOPT_HOME": str(home)},
        timeout=300,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    whole = json.loads(done.stdout)
    assert whole["data"]["invented"] is True
    assert whole["data"]["shots_imported"] == 10
    with scenario.shots_file() as file:
        shots = read_csv(file)
    advice = advise(scenario.pairing(), shots, today=scenario.LOOKED_AT.date())
    kept = PairingRecord(id=1, revision=1, pairing=scenario.pairing(), shots=10, saved_at=scenario.LOOKED_AT)
    last = LastPull(pairing_id=1, pairing=scenario.pairing(), shot=shots[-1])
    said = advice_data(kept, advice, last)
    assert {name: whole["data"][name] for name in said} == said, "the same on any day"
    page = out.read_text(encoding="utf-8")
    assert page.lstrip().lower().startswith("<!doctype html>")
    assert "Hill (invented)" in page
    assert not home.exists()
    page = beside.read_text(encoding="utf-8")
    assert "4 pairings side by side" in page
    assert "Before and after new burrs" in page
    assert "(invented), demo hand grinder" in page
    assert sorted(path.name for path in tmp_path.iterdir()) == ["beside.html", "demo.html"]


def test_a_demo_needs_a_place(tmp_path):
    from dialopt.shell.main import main

    assert main(["demo", "--out", str(tmp_path / "nowhere" / "demo.html")]) == 4
