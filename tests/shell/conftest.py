from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from dialopt.shell.main import main


@dataclass(frozen=True)
class Run:
    """What one command left behind."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> dict[str, Any]:
        (line,) = self.out.splitlines()
        return json.loads(line)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "home"
    monkeypatch.setenv("DIALOPT_HOME", str(folder))
    monkeypatch.delenv("DIALOPT_DEBUG", raising=False)
    return folder


@pytest.fixture
def run(home: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Run]:
    """Runs a command in this process, with nobody at the terminal."""

    def run(*arguments: str, typed: str = "") -> Run:
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        capsys.readouterr()
        status = main(arguments)
        return Run(status, *capsys.readouterr())

    return run


@pytest.fixture
def bench(run: Callable[..., Run]) -> Callable[..., Run]:
    """The same with a bench and a bag set up."""
    for arguments in (
        ("grinder", "bench grinder", "--grind", "0:40:1", "--finer", "down"),
        ("machine", "bench machine", "--temp", "88:96:1"),
        ("basket", "bench basket", "--dose", "16.5:20:0.1"),
        ("bean", "harbour fog"),
        ("pairing",),
    ):
        done = run(*arguments)
        assert done.status == 0, done.err
    return run


@pytest.fixture
def process(home: Path) -> Callable[..., Run]:
    """Runs a command as a process of its own."""

    def process(*arguments: str, env: Mapping[str, str] | None = None) -> Run:
        done = subprocess.run(
            [sys.executable, "-m", "dialopt", *arguments],
            capture_output=True,
            text=True,
            encoding="utf-8",
            stdin=subprocess.DEVNULL,
            env={**os.environ, "PYTHONIOENCODING": "utf-8", **(env or {})},
            timeout=60,
        )
        return Run(done.returncode, done.stdout, done.stderr)

    return process
