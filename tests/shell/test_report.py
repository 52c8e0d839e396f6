from __future__ import annotations

import errno
import os

import pytest


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


def test_a_report_that_cannot_be_written_leaves_the_old_one(bench, tmp_path, monkeypatch):
    def full(handle):
        raise OSError(errno.ENOSPC, "No space left on device")

    out = tmp_path / "report.html"
    out.write_text("the old one")
    monkeypatch.setattr(os, "fsync", full)
    done = bench("report", "--out", str(out), "--replace")
    assert done.status == 4
    assert "No space left on device" in done.err
    assert out.read_text() == "the old one"
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["report.html"]
