"""Puts logbooks at risk and tells what became of them.

    python -m experiments.faults --times 100 --seed 7 --out reports/faults.json

Kills each deed that many times at random moments, damages logbooks at random in several ways, and tries what else can
stand in the way. Ends with 1 when anything happened that must not. On Linux.
"""

from __future__ import annotations

import argparse
import sqlite3
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from experiments.faults.damage import damage
from experiments.faults.deeds import DEEDS
from experiments.faults.kills import kill
from experiments.faults.scenes import SCENES, seen
from experiments.reporting import about_code, write_report


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs it all, prints a line for each part, writes the report."""
    parser = argparse.ArgumentParser(prog="python -m experiments.faults", description="Puts logbooks at risk.")
    parser.add_argument("--times", type=int, default=100, help="of each kill")
    parser.add_argument("--damages", type=int, default=30, help="of each kind of damage")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--jobs", type=int, default=2, help="damaged logbooks looked at at once")
    parser.add_argument("--deeds", default=",".join(DEEDS), help="what to kill, with commas between")
    parser.add_argument("--out", type=Path, default=Path("faults.json"), help="the JSON file to write")
    options = parser.parse_args(arguments)
    kills, scenes, wrong = dict[str, Any](), dict[str, Any](), list[str]()
    for name in filter(None, options.deeds.split(",")):
        kills[name] = kill(name, options.times, options.seed)
        wrong += kills[name]["wrong"]
        print(f"killed {name}: {kills[name]}", flush=True)
    for name in SCENES:
        scenes[name] = seen(name)
        wrong += scenes[name]["wrong"]
        print(f"{name}: {scenes[name]}", flush=True)
    damaged = damage(options.damages, options.seed, options.jobs)
    wrong += damaged["unclear"]
    print(f"damage: {damaged}", flush=True)
    about = about_code() | {"sqlite": sqlite3.sqlite_version, "seed": options.seed}
    report = about | {"kills": kills, "damage": damaged, "scenes": scenes, "wrong": len(wrong)}
    write_report(options.out, report)
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
