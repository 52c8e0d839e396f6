"""A logbook to put at risk, and a way to run commands on it as a person would."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dialopt.shell.main import main

SET_UP: tuple[tuple[str, ...], ...] = (
    ("grinder", "bench grinder", "--grind", "0:40:1", "--finer", "down"),
    ("machine", "bench machine", "--temp", "88:96:1"),
    ("basket", "double", "--dose", "16.5:20:0.1"),
    ("bean", "washed sample", "--roaster", "Imaginary Roastery"),
    ("pairing",),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """How a command ended."""

    status: int
    out: str
    err: str

    @property
    def clear(self) -> bool:
        """Whether a person is told in a sentence: no traceback, and no fault of the program's own."""
        said = self.err or self.out
        return "Traceback" not in self.out + self.err and self.status != 1 and bool(said.strip())

    @property
    def data(self) -> dict[str, Any]:
        """What a program was told with --json, error and all."""
        told: dict[str, Any] = json.loads(self.out)
        return told


def said(home: Path, *words: str, **surroundings: Any) -> End:
    """Runs a command in this process. surroundings: as `main` takes them."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        status = main([*words, "--home", str(home)], **surroundings)
    return End(status=status, out=out.getvalue(), err=err.getvalue())


def set_up(home: Path, shots: int, *, first: int = 0) -> list[int]:
    """Sets the bench up, unless it is, and logs shots; returns their grinds, each another."""
    if not home.exists():
        for words in SET_UP:
            _sure(said(home, *words))
    grinds = list(range(first, first + shots))
    for grind in grinds:
        words = ("--grind", str(grind), "--dose", "18", "--temp", "93", "--score", "7", "--note", f"shot {grind} " * 9)
        _sure(said(home, "shot", *words))
    return grinds


def kept(home: Path) -> list[dict[str, Any]]:
    """The live shots of the pairing in use. Raises RuntimeError when they can't be told."""
    shots: list[dict[str, Any]] = _sure(said(home, "shots", "--json")).data["data"]["shots"]
    return shots


def command(*words: str) -> list[str]:
    """A command as a process of its own."""
    return [sys.executable, "-m", "dialopt", *words]


@contextmanager
def process(home: Path, words: Sequence[str], *, launcher: Sequence[str] = ()) -> Iterator[subprocess.Popen[str]]:
    """A command at work. launcher: what is put before it, as the words of another command."""
    surroundings: Mapping[str, str] = os.environ | {"DIALOPT_HOME": str(home), "PYTHONIOENCODING": "utf-8"}
    with subprocess.Popen(
        [*launcher, *command(*words)],
        env=surroundings,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    ) as running:
        yield running


def _sure(end: End) -> End:
    if end.status:
        raise RuntimeError(f"A command that should work ended with {end.status}: {end.err or end.out}")
    return end
