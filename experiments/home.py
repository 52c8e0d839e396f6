"""A logbook to work on as a person would: commands in this process or as processes of their own, and their cost."""

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

import dialopt
from dialopt.shell.main import main

SET_UP: tuple[tuple[str, ...], ...] = (
    ("grinder", "bench grinder", "--grind", "0:40:1", "--finer", "down"),
    ("machine", "bench machine", "--temp", "88:96:1"),
    ("basket", "double", "--dose", "16.5:20:0.1"),
    ("bean", "washed sample", "--roaster", "Imaginary Roastery"),
    ("pairing",),
)
"""Commands that make a logbook, as the words after `dialopt`."""
SHOT = ("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--yield", "36", "--time", "27", "--score", "7")
_FOLDER = str(Path(dialopt.__file__).parent.parent)


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


def set_up(home: Path, shots: int, *, first: int = 0) -> None:
    """Sets the bench up, unless it is, and logs shots, each of another grind."""
    if not home.exists():
        for words in SET_UP:
            _sure(said(home, *words))
    for grind in range(first, first + shots):
        words = ("--grind", str(grind), "--dose", "18", "--temp", "93", "--score", "7", "--note", f"shot {grind} " * 9)
        _sure(said(home, "shot", *words))


def kept(home: Path) -> list[dict[str, Any]]:
    """The live shots of the pairing in use. Raises RuntimeError when they can't be told."""
    shots: list[dict[str, Any]] = _sure(said(home, "shots", "--json")).data["data"]["shots"]
    return shots


def _sure(end: End) -> End:
    if end.status:
        raise RuntimeError(f"A command that should work ended with {end.status}: {end.err or end.out}")
    return end


def surroundings(home: Path) -> Mapping[str, str]:
    """The environment of a process that works on this home."""
    path = os.pathsep.join([_FOLDER, os.environ.get("PYTHONPATH", "")])
    return os.environ | {"DIALOPT_HOME": str(home), "PYTHONPATH": path, "PYTHONIOENCODING": "utf-8"}


@contextmanager
def process(home: Path, words: Sequence[str], *, launcher: Sequence[str] = ()) -> Iterator[subprocess.Popen[str]]:
    """A command at work as a process of its own. launcher: what is put before it, as the words of another command."""
    with subprocess.Popen(
        [*launcher, sys.executable, "-m", "dialopt", *words],
        env=surroundings(home),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    ) as running:
        yield running


# A child is charged with what its parent held when it was started, so a bare interpreter starts it, not this process.
_BARE = """
import json, os, resource, subprocess, sys, time
began = time.perf_counter()
done = subprocess.run(sys.argv[1:], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
seconds = time.perf_counter() - began
used = resource.getrusage(resource.RUSAGE_CHILDREN)
said = (done.stdout + done.stderr).decode("utf-8", "replace")
cost = {"seconds": seconds, "cpu_s": used.ru_utime + used.ru_stime, "peak_mb": used.ru_maxrss / 1024}
print(json.dumps({"status": done.returncode, "said": said[-2000:], **cost}))
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """Time that passed, s; time of the processor, s, which other work on the machine moves less; peak memory, MB."""

    seconds: float
    cpu_s: float
    peak_mb: float


def cost_of(home: Path, arguments: Sequence[str], *, folder: str | None = None) -> Cost:
    """Runs Python with these arguments and returns what it cost; on Linux. Raises RuntimeError when it fails.

    folder: where it works.
    """
    words = [sys.executable, "-S", "-c", _BARE, sys.executable, *arguments]
    done = subprocess.run(words, env=surroundings(home), cwd=folder, capture_output=True, text=True, check=True)
    told = json.loads(done.stdout)
    status, what = told.pop("status"), told.pop("said")
    if status:
        raise RuntimeError(f"{' '.join(arguments)} ended with {status}: {what.strip()}")
    return Cost(**told)
