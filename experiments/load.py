"""How the commands bear a large logbook: their time and memory on a large one over those on a small one.

    python -m experiments.load --out reports/load.json

The large logbook holds 100,000 shots over 2,000 pairings, the small one 250 over 5: each pairing has the same fifty
shots but for their dates, so that the size of the logbook is all that differs. Both are measured in turn in one run.
Prints a table in Markdown and writes it as JSON.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import datetime, timedelta
from pathlib import Path
from shutil import copytree

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Shot
from dialopt.logbook.book import Logbook
from experiments.home import SHOT, Cost, cost_of
from experiments.reporting import about_code, as_markdown, write_report
from experiments.timing import FAMILY, SEED, some_shots
from experiments.worlds import make

SMALL, LARGE = 5, 2_000
"""Pairings in each logbook."""
SHOTS = 50
"""Shots of each pairing."""
GRINDERS = 4
BAGS_A_BURR_SET = 100
COMMANDS: dict[str, tuple[str, ...]] = {
    "use": ("use", "bag 3"),
    "pairing": ("pairing", "--bean", "bag 3"),
    "shot": SHOT,
    "amend": ("amend", "1", "--note", "again"),
    "export": ("export", "shots.csv", "--replace"),
    "report": ("report", "--out", "report.html"),
    "share": ("share", "share.json", "--replace"),
} | {
    words: tuple(words.split())
    for words in (
        "shots", "shots --history", "pairings", "kit", "undo", "caffeine", "prepare", "next", "sweet-spot", "palate",
        "check", "backup",
    )
}  # fmt: skip
"""What is measured, as the words after `dialopt`. The last two read the whole file."""
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


def measured(words: Sequence[str], homes: Sequence[Path], runs: int) -> list[Cost]:
    """The command's cost in each home, taken in turn `runs` times after one to warm up: median times, most memory."""
    taken = [[cost_of(home, ["-m", "dialopt", *words], folder=str(home)) for home in homes] for _ in range(runs + 1)]
    return [
        Cost(
            seconds=statistics.median(cost.seconds for cost in costs),
            cpu_s=statistics.median(cost.cpu_s for cost in costs),
            peak_mb=max(cost.peak_mb for cost in costs),
        )
        for costs in zip(*taken[1:], strict=True)
    ]


def main(arguments: Sequence[str] | None = None) -> int:
    """Measures, prints and writes."""
    parser = argparse.ArgumentParser(prog="python -m experiments.load", description="Commands on a large logbook.")
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--pairings", type=int, default=LARGE, help="of the large logbook")
    parser.add_argument("--only", default=",".join(COMMANDS), help="commands to measure, with commas between")
    parser.add_argument("--out", type=Path, default=Path("load.json"), help="the JSON file to write")
    options = parser.parse_args(arguments)
    rows = []
    with tempfile.TemporaryDirectory() as place:
        homes = build(Path(place, "small"), SMALL), build(Path(place, "large"), options.pairings)
        size_mb = (homes[1] / "logbook.db").stat().st_size / 1e6
        for name in options.only.split(","):
            small, large = measured(COMMANDS[name], homes, options.runs)
            times = large.cpu_s / small.cpu_s
            rows.append({"command": name, "small": asdict(small), "large": asdict(large), "times": times})
            print(f"{name}: {small.seconds:.2f} s and {large.seconds:.2f} s", flush=True)
    sizes = {
        "small": {"pairings": SMALL, "shots": SMALL * SHOTS},
        "large": {"pairings": options.pairings, "shots": options.pairings * SHOTS, "file_mb": round(size_mb, 1)},
    }
    write_report(options.out, about_code() | {"runs": options.runs} | sizes | {"commands": rows})
    print(as_markdown(rows, ("command", "times")))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
