from __future__ import annotations

import io
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Mapping
from contextlib import redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from dialopt.shell.main import main
from tests.shell.stub import advise


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


class Runner:
    """Runs commands in this process, nobody at the terminal. usual: as `main` takes it where a call says nothing."""

    def __init__(
        self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, usual: dict[str, Any]
    ) -> None:
        self._capsys, self._patch, self._usual = capsys, monkeypatch, usual

    def __call__(self, *arguments: str, typed: str = "", **surroundings: Any) -> Run:
        self._patch.setattr(sys, "stdin", io.StringIO(typed))
        self._capsys.readouterr()
        status = main(arguments, **{**self._usual, **surroundings})
        return Run(status, *self._capsys.readouterr())

    def data(self, *arguments: str, **more: Any) -> dict[str, Any]:
        """What a command that works tells a program."""
        done = self(*arguments, "--json", **more)
        assert done.status == 0, (arguments, done.out)
        return done.json["data"]

    def fails(self, *arguments: str) -> tuple[int, str]:
        """Status and kind of the error of a command that doesn't."""
        done = self(*arguments, "--json")
        return done.status, done.json["error"]["kind"]

    def log(self, *where: str) -> list[dict[str, Any]]:
        """The shots of the pairing in use."""
        return self.data("shots", *where)["shots"]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "home"
    monkeypatch.setenv("DIALOPT_HOME", str(folder))
    monkeypatch.delenv("DIALOPT_DEBUG", raising=False)
    return folder


@pytest.fixture
def engine() -> None:
    """Asked for by tests of what is advised: their commands ask the engine itself, those of all others a stub."""


@pytest.fixture
def run(
    request: pytest.FixtureRequest, home: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Runner:
    """Runs commands on an empty home."""
    return Runner(capsys, monkeypatch, {} if "engine" in request.fixturenames else {"advise": advise})


@pytest.fixture(scope="session")
def set_up_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home with a bench and a bag set up."""
    folder = tmp_path_factory.mktemp("set up") / "home"
    for arguments in (
        ("grinder", "bench grinder", "--grind", "0:40:1", "--finer", "down"),
        ("machine", "bench machine", "--temp", "88:96:1"),
        ("basket", "bench basket", "--dose", "16.5:20:0.1"),
        ("bean", "harbour fog"),
        ("pairing",),
    ):
        with redirect_stdout(io.StringIO()) as said:
            assert main([*arguments, "--home", str(folder)]) == 0, said.getvalue()
    return folder


@pytest.fixture
def bench(run: Runner, home: Path, set_up_once: Path) -> Runner:
    """The same with a bench and a bag set up."""
    shutil.copytree(set_up_once, home)
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
