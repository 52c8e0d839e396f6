"""How the commands bear a large logbook: their time and memory on a large one over those on a small one.

    python -m experiments.load --out reports/load.json

The large logbook holds 100,000 shots over 2,000 pairings, the small one 250 over 5: each pairing has the same fifty
shots but for their dates, so that the size of the logbook is all that differs. Both are measured in turn in one run.
Prints a table in Markdown and writes it as JSON.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import statistics
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from shutil import copytree

import dialopt
from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Shot
from dialopt.logbook.book import Logbook
from experiments.fingerprint import WHOLE_CODE
from experiments.measured import Cost, cost_of
from experiments.timing import FAMILY, LOG_WORDS, SEED, some_shots
from experiments.worlds import make

SMALL, LARGE = 5, 2_000
"""Pairings in each logbook."""
SHOTS = 50
"""Shots of each pairing."""
GRINDERS = 4
BAGS_A_BURR_SET = 100

COMMANDS: dict[str, list[str]] = {
    "shots": ["shots"],
    "shots --history": ["shots", "--history"],
    "pairings": ["pairings"],
    "kit": ["kit"],
    "use": ["use", "bag 3"],
    "pairing": ["pairing", "--bean", "bag 3"],
    "shot": LOG_WORDS,
    "amend": ["amend", "1", "--note", "again"],
    "undo": ["undo"],
    "caffeine": ["caffeine"],
    "prepare": ["prepare"],
    "export": ["export", "shots.csv", "--replace"],
    "next": ["next"],
    "sweet-spot": ["sweet-spot"],
    "palate": ["palate"],
    "report": ["report", "--out", "report.html"],
    "share": ["share", "share.json", "--replace"],
}
"""What is measured, as the words after `dialopt`. `check` and `backup` read the whole file and are told apart."""
WHOLE_FILE: dict[str, list[str]] = {"check": ["check"], "backup": ["backup"]}


LOOK = timedelta(minutes=10)
"""By so much the clock goes on with each look at it, so that a shot is logged every twenty minutes, day and night."""


class Clock:
    """A clock that ends now, after so many looks at it."""

    def __init__(self, looks: int) -> None:
        self.time = datetime.now().replace(microsecond=0) - looks * LOOK

    def __call__(self) -> datetime:
        """The time, later than at the look before."""
        self.time += LOOK
        return self.time


def a_pairing(index: int) -> Pairing:
    """The index-th bag of a roastery: four grinders in turn, each with new burrs now and then."""
    grinder, worn = f"grinder {index % GRINDERS + 1}", index // (GRINDERS * BAGS_A_BURR_SET)
    return Pairing(
        bean=Bean(name=f"bag {index + 1}", roast="light"),
        grinder=Grinder(name=grinder, grind=Dial(0, 40, 1), finer="down", burrs=f"set {worn + 1}"),
        machine=Machine(name=f"machine {index % 2 + 1}", temp_c=Dial(88, 96, 1)),
        basket=Basket(name="double", dose_g=Dial(16.5, 20, 0.1)),
    )


def build(home: Path, pairings: int, *, told: Sequence[Shot] = ()) -> Path:
    """Makes a logbook shot by shot, as people would; returns where. told: the shots of each pairing, else of a world.

    Built in memory where the machine has a place for that, since every shot is waited for until it is on disk.
    """
    told = told or some_shots(make(FAMILY, SEED), SHOTS)
    clock = Clock(pairings * (1 + 2 * len(told)))
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as place:
        with Logbook.open(Path(place), now=clock) as book:
            for index in range(pairings):
                number = book.save_pairing(a_pairing(index))
                for shot in told:
                    book.log(number, replace(shot, pulled_at=clock()))
            book.make_current(number)
        copytree(place, home, dirs_exist_ok=True)
    return home


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One command on both logbooks; times are medians, memory is the most seen."""

    command: str
    small: Cost
    large: Cost

    @property
    def times(self) -> float:
        """How many times the processor's time of the small one it takes on the large one."""
        return self.large.cpu_s / self.small.cpu_s


def measured(words: Sequence[str], homes: Sequence[Path], runs: int) -> list[Cost]:
    """The command's cost in each home, taken in turn `runs` times after one to warm up."""
    costs: list[list[Cost]] = [[] for _ in homes]
    for turn in range(runs + 1):
        for home, kept in zip(homes, costs, strict=True):
            surroundings = os.environ | {"DIALOPT_HOME": str(home)}
            filed = [str(home / word) if word.endswith((".csv", ".html", ".json")) else word for word in words]
            cost = cost_of([sys.executable, "-m", "dialopt", *filed], surroundings)
            if turn:
                kept.append(cost)
    return [_middle(kept) for kept in costs]


def _middle(costs: Sequence[Cost]) -> Cost:
    return Cost(
        seconds=statistics.median(cost.seconds for cost in costs),
        cpu_s=statistics.median(cost.cpu_s for cost in costs),
        peak_mb=max(cost.peak_mb for cost in costs),
    )


def measure(
    commands: dict[str, list[str]], small: Path, large: Path, runs: int, told: Callable[[Load], object]
) -> None:
    """Measures each command on both logbooks and tells of it as soon as it is known."""
    for name, words in commands.items():
        costs = measured(words, (small, large), runs)
        told(Load(command=name, small=costs[0], large=costs[1]))


def main(arguments: Sequence[str] | None = None) -> int:
    """Measures, prints and writes."""
    parser = argparse.ArgumentParser(prog="python -m experiments.load", description="Commands on a large logbook.")
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--pairings", type=int, default=LARGE, help="of the large logbook")
    parser.add_argument("--only", help="commands to measure, with commas between")
    parser.add_argument("--out", default="load.json", help="the JSON file to write")
    options = parser.parse_args(arguments)
    only = options.only.split(",") if options.only else [*COMMANDS, *WHOLE_FILE]
    loads: list[Load] = []

    def told(load: Load) -> None:
        loads.append(load)
        print(
            f"| {load.command} | {load.small.seconds:.2f} s | {load.large.seconds:.2f} s | {load.times:.2f} "
            f"| {load.small.peak_mb:.0f} MB | {load.large.peak_mb:.0f} MB |",
            flush=True,
        )

    with tempfile.TemporaryDirectory() as place:
        small, large = build(Path(place, "small"), SMALL), build(Path(place, "large"), options.pairings)
        size_mb = (large / "logbook.db").stat().st_size / 1e6
        print("| command | small | large | times | small | large |\n|---|---|---|---|---|---|", flush=True)
        chosen = {name: words for name, words in (COMMANDS | WHOLE_FILE).items() if name in only}
        measure(chosen, small, large, options.runs, told)
    about = {
        "dialopt": dialopt.__version__,
        "code": WHOLE_CODE,
        "python": platform.python_version(),
        "machine": platform.machine(),
        "runs": options.runs,
        "small": {"pairings": SMALL, "shots": SMALL * SHOTS},
        "large": {"pairings": options.pairings, "shots": options.pairings * SHOTS, "file_mb": round(size_mb, 1)},
    }
    rows = [{**asdict(load), "times": round(load.times, 3)} for load in loads]
    Path(options.out).write_text(json.dumps(about | {"commands": rows}, indent=1) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
