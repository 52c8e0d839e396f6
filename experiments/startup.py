"""What starting up costs: the imports of each group of commands, as Python itself times them.

    python -m experiments.startup --out reports/startup.json

Prints a table in Markdown and writes it as JSON. Figures hold for the machine that they were taken on; what else it did
then stands beside them as its load.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from experiments.home import SHOT, said, set_up, surroundings
from experiments.reporting import about_code, as_markdown, write_report
from experiments.timing import LOGGED

GROUPS: dict[str, list[str]] = {
    "an empty interpreter": ["-c", ""],
    "import dialopt": ["-c", "import dialopt"],
    "help": ["-m", "dialopt", "--help"],
    "log a shot": ["-m", "dialopt", *SHOT],
    "look things up": ["-m", "dialopt", "shots"],
    "kit and beans": ["-m", "dialopt", "kit"],
    "around the shot": ["-m", "dialopt", "water", "--hardness", "80"],
    "blind tests": ["-m", "dialopt", "serve", "triangle"],
    "spreadsheets": ["-m", "dialopt", "export", "shots.csv"],
    "advice": ["-m", "dialopt", "next"],
    "report": ["-m", "dialopt", "report", "--out", "report.html"],
}
"""One command of each group, as the words after `python`."""
NOTED_MS = 1.0
_LINE = re.compile(r"import time:\s*(\d+) \|\s*\d+ \| +([\w.]+)$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Startup:
    """The imports of one group: milliseconds in the quickest of several runs, the timing itself included.

    modules: how many were imported. packages_ms: packages that took at least `NOTED_MS`, all their modules together,
    the dearest first.
    """

    group: str
    import_ms: float
    modules: int
    packages_ms: Mapping[str, float]


def by_package(told: str) -> tuple[dict[str, float], int]:
    """Milliseconds by top-level package, and the number of modules, from what `-X importtime` tells."""
    spent, modules = Counter[str](), 0
    for line in told.splitlines():
        if found := _LINE.match(line):
            spent[found[2].split(".")[0]] += int(found[1])
            modules += 1
    return {package: microseconds / 1000 for package, microseconds in spent.items()}, modules


def profile(group: str, words: Sequence[str], home: Path, runs: int) -> Startup:
    """Runs the command that often after once to warm up, each time in a new folder within the home.

    Raises RuntimeError when it fails.
    """
    found: list[dict[str, float]] = []
    modules = 0
    for _ in range(runs + 1):
        command = [sys.executable, "-X", "importtime", *words]
        folder = tempfile.mkdtemp(dir=home)
        done = subprocess.run(command, env=surroundings(home), cwd=folder, capture_output=True, text=True, check=False)
        if done.returncode:
            raise RuntimeError(f"{' '.join(words)} ended with {done.returncode}: {done.stderr.splitlines()[-1]}")
        spent, modules = by_package(done.stderr)
        found.append(spent)
    packages = {name: min(spent.get(name, 0.0) for spent in found[1:]) for name in found[-1]}
    dearest = sorted(packages, key=packages.__getitem__, reverse=True)
    return Startup(
        group=group,
        import_ms=round(min(sum(spent.values()) for spent in found[1:]), 1),
        modules=modules,
        packages_ms={name: round(packages[name], 1) for name in dearest if packages[name] >= NOTED_MS},
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Takes the profile of every group, on one fresh logbook with some shots in it."""
    parser = argparse.ArgumentParser(prog="python -m experiments.startup", description="Times the imports.")
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--out", type=Path, required=True, help="the JSON file to write")
    options = parser.parse_args(arguments)
    load = round(os.getloadavg()[0], 1)
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder, "home")
        set_up(home, 0)
        for _ in range(LOGGED):
            said(home, *SHOT)
        groups = [profile(group, words, home, options.runs) for group, words in GROUPS.items()]
    write_report(options.out, about_code() | {"load_beside": load, "groups": [asdict(group) for group in groups]})
    print(as_markdown(groups, ("group", "import_ms", "modules")))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
