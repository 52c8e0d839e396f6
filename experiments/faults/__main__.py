"""Puts logbooks at risk and tells what became of them.

    python -m experiments.faults --times 100 --seed 7 --out reports/faults.json

Kills each deed that many times at random moments, damages logbooks at random in several ways, and tries what else can
stand in the way. Ends with 1 when anything happened that must not. On Linux.
"""

from __future__ import annotations

import argparse
import json
import platform
import sqlite3
from collections.abc import Sequence
from pathlib import Path

import dialopt
from experiments.faults.damage import damage
from experiments.faults.deeds import DEEDS
from experiments.faults.kills import kill
from experiments.faults.scenes import SCENES, seen
from experiments.fingerprint import WHOLE_CODE


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs it all, prints a line for each part, writes the report."""
    parser = argparse.ArgumentParser(prog="python -m experiments.faults", description="Puts logbooks at risk.")
    parser.add_argument("--times", type=int, default=100, help="of each kill")
    parser.add_argument("--damages", type=int, default=30, help="of each kind of damage")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--jobs", type=int, default=2, help="damaged logbooks looked at at once")
    parser.add_argument("--deeds", default=",".join(DEEDS), help="what to kill, with commas between")
    parser.add_argument("--out", default="faults.json", help="the JSON file to write")
    options = parser.parse_args(arguments)
    report = {
        "dialopt": dialopt.__version__,
        "code": WHOLE_CODE,
        "python": platform.python_version(),
        "sqlite": sqlite3.sqlite_version,
        "seed": options.seed,
        "kills": {},
        "damage": {},
        "scenes": {},
    }
    wrong: list[str] = []
    for name in filter(None, options.deeds.split(",")):
        report["kills"][name] = found = kill(name, options.times, options.seed)
        wrong += found["wrong"]
        print(f"killed {name}: {found}", flush=True)
    for name in SCENES:
        report["scenes"][name] = seen_now = seen(name)
        wrong += seen_now["wrong"]
        print(f"{name}: {seen_now}", flush=True)
    report["damage"] = damage(options.damages, options.seed, options.jobs)
    wrong += report["damage"]["unclear"]
    print(f"damage: {report['damage']}", flush=True)
    report["wrong"] = len(wrong)
    Path(options.out).write_text(json.dumps(report, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
