"""next, sweet-spot, report: from an empty bench to a page."""

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


@pytest.mark.usefixtures("engine")
def test_near_the_fine_end_the_burrs_are_minded(run):
    for arguments in (
        ("grinder", "short dial", "--grind", "0:4:1", "--finer", "down"),
        ("machine", "m", "--temp", "93"),
        ("basket", "b", "--dose", "18"),
        ("bean", "harbour fog"),
        ("pairing",),
        *(("shot", "--grind", str(grind), "--dose", "18", "--temp", "93", *words) for grind, *words in FAST),
    ):
        assert run(*arguments).status == 0
    told = run("next")
    assert "Set      grind 0" in told.out
    assert "burrs may touch" in told.out


FAST = (
    (4, "--time", "8", "--score", "2", "--balance", "-3"),
    (2, "--time", "13", "--score", "4", "--balance", "-2"),
    (1, "--time", "17", "--score", "5.5", "--balance", "-2"),
)


@pytest.mark.usefixtures("engine")
@pytest.mark.slow
def test_a_report_with_notes_only_when_asked(bench, tmp_path):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "6", "--note", "quince and tar")
    out = tmp_path / "report.html"
    out.write_text("another file")
    done = bench("report", "--out", str(out), "--replace", "--json")
    assert done.status == 0, done.out
    assert done.json["data"]["file"] == str(out)
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
