"""next, sweet-spot, compare, palate, report: from an empty bench to a page."""

from __future__ import annotations

import errno
import os
import re
from pathlib import Path

import pytest


@pytest.mark.usefixtures("engine")
def test_from_an_empty_bench_to_the_second_advice(run):
    steps = [
        (("grinder", "bench grinder", "--grind", "0:40:1", "--finer", "down"), "dialopt machine"),
        (("machine", "bench machine", "--temp", "88:96:1"), "dialopt basket"),
        (("basket", "bench basket", "--dose", "16,5:20:0,1"), "dialopt bean"),
        (("bean", "harbour fog", "--bag-g", "250"), "dialopt pairing"),
        (("pairing", "--ratio", "2,2"), "dialopt next"),
    ]
    for arguments, points_to in steps:
        done = run(*arguments)
        assert done.status == 0, done.err
        assert points_to in done.out.splitlines()[-1]

    first = run("next")
    assert first.status == 0
    found = re.search(r"Set +grind (\S+), (\S+) g, (\S+) °C", first.out)
    assert found is not None
    grind, dose, temp = found.groups()
    assert f"Stop at  {round(float(dose) * 2.2, 1):g} g" in first.out
    assert "13 shots left" in first.out

    logged = run("shot", "--yield", "36", "--time", "19", "--score", "5", "--balance", "-2")
    assert logged.status == 0
    assert f"Saved as shot 1 of harbour fog on bench grinder: grind {grind}, {dose} g, {temp} °C → 36 g" in logged.out
    assert "Grind, dose and temperature as advised." in logged.out

    second = run("next")
    assert "finer" in second.out, "a fast and sour shot asks for a finer grind"
    assert "Purge    2 g" in second.out
    assert "12 shots left" in second.out

    spot = run("sweet-spot")
    assert spot.status == 0
    assert "The chance is" in spot.out
    assert "Settled" in spot.out


def test_the_order_of_setting_up_is_free(run):
    assert run("bean", "harbour fog").out.splitlines()[-1].startswith("Next: `dialopt grinder")
    assert run("kit").status == 0


def test_bare_help_and_version(run):
    bare = run()
    assert bare.status == 2
    assert "sweet-spot" in bare.out
    assert run("--help").status == 0
    version = run("--version")
    assert (version.status, version.out.split()[0]) == (0, "dialopt")


SHOTS = (("24", "5", "-2"), ("19", "7", "-1"), ("17", "7.5", "0"), ("14", "6", "1"))


def taste(bench):
    for grind, score, balance in SHOTS:
        bench.data("shot", "--grind", grind, "--dose", "18", "--temp", "93", "--score", score, f"--balance={balance}")


@pytest.fixture
def tasted(bench):
    taste(bench)
    return bench


@pytest.mark.usefixtures("engine")
def test_the_palate_and_its_repeat(bench):
    # Where every cup counts these shots are enough, and a log that is settled asks for no repeat.
    bench.data("pairing", "--counts", "recipe")
    taste(bench)
    data = bench.data("palate")
    assert (data["repeats"], data["notes"], data["tastings"]) == (0, 4, 4)
    assert data["noise"]["low"] < data["noise"]["mean"] < data["noise"]["high"]
    assert data["repeat"]["yield_g"] == 2 * data["repeat"]["dose_g"]
    of_palate = {key: value for key, value in data.items() if key not in ("pairing", "tastings")}
    assert bench.data("next")["palate"] == of_palate


@pytest.mark.usefixtures("engine")
def test_the_palate_before_the_first_shot(bench):
    told = bench.data("palate")
    assert (told["tastings"], told["repeat"]) == (0, None)


@pytest.mark.usefixtures("engine")
def test_comparing_by_number_recipe_and_word(tasted):
    spelt = tasted.data("compare", "17:18,0:93", "24:18:93")
    assert spelt["chance_better"] > 0.8
    assert spelt["by"]["mean"] > 0
    assert (spelt["one"]["grind"], spelt["other"]["grind"]) == (17, 24)
    assert tasted.data("compare", "3", "1") == spelt
    words, sweet = tasted.data("compare", "next"), tasted.data("sweet-spot")
    assert (words["one"], words["other"]) == (sweet["next"]["recipe"], sweet["recipe"])
    same = tasted("compare", "3", "17:18:93").out
    assert "They are the same recipe." in same
    assert "over" not in same


@pytest.mark.parametrize("number", ["9" * 5000, "0" * 5000 + "7", "99999999999999999999"])
def test_a_shot_of_any_number_of_digits_is_not_found(bench, number):
    assert bench("compare", number).status == 3


@pytest.mark.usefixtures("engine")
@pytest.mark.slow
def test_a_report_with_notes_only_when_asked(bench, tmp_path):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "6", "--note", "quince and tar")
    out = tmp_path / "report.html"
    out.write_text("another file")
    assert bench.data("report", "--out", str(out), "--replace")["file"] == str(out)
    page = out.read_text(encoding="utf-8")
    assert "harbour fog" in page
    assert "in the place of" not in bench("report", "--out", str(tmp_path / "new.html")).out
    assert "quince and tar" not in page
    again = bench("report", "--out", str(out), "--notes")
    assert again.status == 0, "an earlier report is replaced unasked"
    assert "the chance is" in again.out
    assert f"to {out}, in the place of what was there." in again.out
    assert "quince and tar" in out.read_text(encoding="utf-8")


@pytest.mark.usefixtures("engine")
def test_a_report_that_cannot_be_written_leaves_the_old_one(bench, tmp_path, monkeypatch):
    synced = os.fsync

    def full(handle):
        """Where the report goes, not where the logbook is."""
        if Path(f"/proc/self/fd/{handle}").readlink().parent == tmp_path:
            raise OSError(errno.ENOSPC, "No space left on device")
        synced(handle)

    out = tmp_path / "report.html"
    out.write_text("the old one")
    monkeypatch.setattr(os, "fsync", full)
    done = bench("report", "--out", str(out), "--replace")
    assert done.status == 4
    assert "No space left on device" in done.err
    assert out.read_text() == "the old one"
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["report.html"]
