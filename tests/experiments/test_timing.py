from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from experiments import timing
from experiments.measured import Cost
from experiments.timing import COMMANDS, LOG_WORDS, LOGGED, whole_processes


def test_next_is_timed_on_the_logbook_that_was_prepared(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Not after the shots that timing `shot` itself logs."""
    ran: list[list[str]] = []

    def run(words: list[str], **how: object) -> subprocess.CompletedProcess[str]:
        ran.append(words[1:])
        return subprocess.CompletedProcess(words, 0)

    monkeypatch.setattr("sys.executable", str(tmp_path / "python"))
    monkeypatch.setattr(timing.shutil, "which", lambda name: name)
    monkeypatch.setattr(timing.subprocess, "run", run)
    monkeypatch.setattr(timing, "cost_of", lambda *about: Cost(seconds=1, cpu_s=1, peak_mb=99.6))
    timings, peak_mb = whole_processes(runs=3)
    assert ({one.name for one in timings}, peak_mb) == ({f"dialopt {name}" for name in COMMANDS}, 100)
    assert ran[: ran.index(COMMANDS["next"])].count(LOG_WORDS) == LOGGED
    assert ran[::-1].index(LOG_WORDS) < ran[::-1].index(COMMANDS["next"])
