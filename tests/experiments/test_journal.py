from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from experiments import fingerprint
from experiments.journal import NAME, Journal

ABOUT = {"seed": 1, "shots": 3, "code": "abc"}


def test_trials_come_back_as_they_were(tmp_path: Path) -> None:
    rows = [{"task": 0, "regret": np.float64(0.1) + np.float64(0.2), "close": np.bool_(True), "in90": False}]
    with Journal(tmp_path, ABOUT) as first:
        assert first.rows == []
        first.add(rows)
    with Journal(tmp_path, ABOUT) as second:
        assert second.rows == [{"task": 0, "regret": 0.1 + 0.2, "close": True, "in90": False}]
        second.add([{"task": 1}])
    assert [row["task"] for row in Journal(tmp_path, ABOUT).rows] == [0, 1]


@pytest.mark.parametrize("cut", ['[{"task": 0}, {"ta', "[", '{"se'])
def test_a_line_cut_short_spoils_itself_only(cut: str, tmp_path: Path) -> None:
    with Journal(tmp_path, ABOUT) as journal:
        journal.add([{"task": 0}])
    with (tmp_path / NAME).open("a") as file:
        file.write("\n" + cut)
    with Journal(tmp_path, ABOUT) as journal:
        journal.add([{"task": 1}])
    assert [row["task"] for row in Journal(tmp_path, ABOUT).rows] == [0, 1]


def test_a_journal_about_something_else_is_set_aside(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Journal(tmp_path, ABOUT) as journal:
        journal.add([{"task": 0}])
    with Journal(tmp_path, ABOUT | {"code": "def"}) as other:
        assert other.rows == []
    assert not (tmp_path / NAME).exists()
    assert "set aside" in capsys.readouterr().err
    assert '"task": 0' in (tmp_path / f"{NAME}.old").read_text()
    with Journal(tmp_path, ABOUT) as again:
        again.add([{"task": 2}])
        again.discard()
    assert not (tmp_path / NAME).exists()


def test_the_fingerprint_follows_the_sources(tmp_path: Path) -> None:
    assert fingerprint.fingerprint() == fingerprint.CODE != fingerprint.WHOLE_CODE
    (tmp_path / "part").mkdir()
    source = tmp_path / "part" / "one.py"
    source.write_text("x = 1\n")
    parts = ((tmp_path, ("part",)),)
    prints = [fingerprint.fingerprint(parts)]
    source.write_text("x = 2\n")
    prints.append(fingerprint.fingerprint(parts))
    source.rename(source.with_name("two.py"))
    prints.append(fingerprint.fingerprint(parts))
    assert len(set(prints)) == 3
    (tmp_path / "part" / "notes.txt").write_text("nothing that runs")
    assert fingerprint.fingerprint(parts) == prints[-1]
