"""The README is run: its console blocks as one morning in one shell, its Python as a doctest."""

from __future__ import annotations

import doctest
import os
import re
import subprocess
import sys
from fnmatch import fnmatchcase
from pathlib import Path

README = Path(__file__).parent.parent / "README.md"


def console_steps() -> list[tuple[str, list[str]]]:
    """Each command of the console blocks with the lines it should print; … stands for anything."""
    steps: list[tuple[str, list[str]]] = []
    for block in re.findall(r"```console\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL):
        for line in block.splitlines():
            if line.startswith("$ "):
                steps.append((line[2:], []))
            else:
                steps[-1][1].append(line)
    return steps


def matches(expected: list[str], printed: list[str]) -> bool:
    """Whether lines fit, where a line of … alone stands for any number of lines."""
    if not expected:
        return not printed
    if expected[0] == "…":
        return any(matches(expected[1:], printed[start:]) for start in range(len(printed) + 1))
    pattern = re.sub(r"([\[\]?*])", r"[\1]", expected[0]).replace("…", "*")
    return bool(printed) and fnmatchcase(printed[0], pattern) and matches(expected[1:], printed[1:])


def test_the_first_bag_goes_as_written(tmp_path: Path) -> None:
    steps = console_steps()
    assert len(steps) > 12
    bin_folder = tmp_path / "bin"
    bin_folder.mkdir()
    command = bin_folder / "dialopt"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m dialopt "$@"\n', encoding="utf-8")
    command.chmod(0o755)
    environment = os.environ | {
        "PATH": f"{bin_folder}{os.pathsep}{os.environ['PATH']}",
        "DIALOPT_HOME": str(tmp_path / "home"),
        "COLUMNS": "200",
    }
    for step, expected in steps:
        done = subprocess.run(
            step, shell=True, cwd=tmp_path, env=environment, capture_output=True, text=True, encoding="utf-8"
        )
        assert done.returncode == 0, f"{step}\n{done.stdout}{done.stderr}"
        assert matches(expected, done.stdout.splitlines()), f"{step}\n{done.stdout}"
    assert (tmp_path / "first-bag.html").stat().st_size > 100_000


def test_the_matcher_can_fail() -> None:
    assert matches(["a … c", "…"], ["a b c", "d", "e"])
    assert matches(["grind [x]", "…", "z"], ["grind [x]", "z"])
    assert not matches(["a … c"], ["a b d"])
    assert not matches(["a"], ["a", "b"])
    assert not matches(["a", "…", "z"], ["a", "b"])


def test_the_python_example_runs() -> None:
    results = doctest.testfile(str(README), module_relative=False, encoding="utf-8")
    assert results.attempted >= 6
    assert results.failed == 0


def test_both_commands_stand_where_they_are_looked_for() -> None:
    text = README.read_text(encoding="utf-8")
    assert re.search(r"<!-- demo command -->\n```\npython3 .*/dialopt demo", text)
    assert re.search(r"<!-- test command -->\n```\npython3 .*pytest", text)
