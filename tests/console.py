"""Console blocks of a document, run as they stand."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from fnmatch import fnmatchcase
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parent.parent
GUIDE = ROOT / "dialopt" / "guide"


class Step(NamedTuple):
    """A command and the lines that it should print; … stands for anything."""

    command: str
    printed: list[str]


def steps_of(page: Path) -> list[Step]:
    """Each command of a page's console blocks, in order."""
    steps: list[Step] = []
    for block in re.findall(r"```console\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL):
        for line in block.splitlines():
            if line.startswith("$ "):
                steps.append(Step(line[2:], []))
            else:
                steps[-1].printed.append(line)
    return steps


def matches(expected: list[str], printed: list[str]) -> bool:
    """Whether lines fit, where a line of … alone stands for any number of lines."""
    if not expected:
        return not printed
    if expected[0] == "…":
        return any(matches(expected[1:], printed[start:]) for start in range(len(printed) + 1))
    pattern = re.sub(r"([\[\]?*])", r"[\1]", expected[0]).replace("…", "*")
    return bool(printed) and fnmatchcase(printed[0], pattern) and matches(expected[1:], printed[1:])


def walk(steps: list[Step], folder: Path) -> None:
    """Runs the steps in one shell's place, `folder`, whose logbook is in its `home`."""
    command = folder / "bin" / "dialopt"
    command.parent.mkdir(exist_ok=True)
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m dialopt "$@"\n', encoding="utf-8")
    command.chmod(0o755)
    environment = os.environ | {
        "PATH": f"{command.parent}{os.pathsep}{os.environ['PATH']}",
        "DIALOPT_HOME": str(folder / "home"),
        "COLUMNS": "200",
    }
    for step in steps:
        done = subprocess.run(
            step.command, shell=True, cwd=folder, env=environment, capture_output=True, text=True, encoding="utf-8"
        )
        assert done.returncode == 0, f"{step.command}\n{done.stdout}{done.stderr}"
        assert matches(step.printed, done.stdout.splitlines()), f"{step.command}\n{done.stdout}"
