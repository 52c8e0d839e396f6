"""Feeds every way in with bad input, and counts what was taken, what was refused, and what broke.

    python -m experiments.fuzz --inputs 100000 --seed 6 --out reports/fuzz.json

What must hold of each input stands in `experiments.bad_input`. With --guided N, atheris also looks for N texts a target
that reach code no text before them reached; it needs the package atheris, which doesn't run on every Python.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import asdict
from importlib.metadata import version
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings

from experiments.bad_input.commands import kitchen, targets
from experiments.bad_input.readers import GUIDED, TARGETS
from experiments.bad_input.target import Count, Target
from experiments.reporting import about_code, as_markdown, write_report

BATCH = 2_000
SUMMED = ("inputs", "accepted", "refused", "tracebacks", "seconds")


def fed(target: Target, inputs: int, number: int) -> Count:
    """The count after so many inputs, drawn from the seed `number`."""
    count = Count(name=target.name, says=target.says)
    for start in range(0, inputs, BATCH):
        # Batch by batch, as what is drawn is remembered to draw something else next, and grows large.
        drawn = settings(
            max_examples=min(BATCH, inputs - start),
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        seed(f"{number} {start}")(drawn(given(target.inputs)(lambda one: count.feed(target.feed, one))))()
    return count


def guided(name: str, inputs: int, number: int) -> Count | str:
    """The count of a target after atheris chose the texts, or why there is none.

    In a process of its own, as the fuzzer ends the one that it runs in.
    """
    with tempfile.TemporaryDirectory() as folder:
        told = Path(folder) / "count.json"
        words = [sys.executable, "-m", "experiments.bad_input.guided", name, str(inputs), str(number), str(told)]
        done = subprocess.run(words, capture_output=True, text=True, errors="replace", check=False)
        if not told.exists():
            return (done.stderr.strip().splitlines() or ["no word of why"])[-1][-300:]
        return Count(**json.loads(told.read_text(encoding="utf-8")))


def main(arguments: Sequence[str] | None = None) -> int:
    """Feeds; 1 where something broke."""
    parser = argparse.ArgumentParser(prog="python -m experiments.fuzz", description="Feeds bad input.")
    parser.add_argument("--inputs", type=int, default=100_000, help="in all, shared out among the targets")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--guided", type=int, default=0, metavar="N", help="texts for each target that atheris feeds")
    parser.add_argument("--out", type=Path, default=Path("fuzz.json"), help="the JSON file to write")
    options = parser.parse_args(arguments)
    with kitchen() as room:
        every = (*TARGETS, *targets(room))
        whole = sum(target.share for target in every)
        # Rounded up, so that the sum is at least what was asked for.
        counts = [fed(target, int(-(-options.inputs * target.share // whole)), options.seed) for target in every]
    found = {name: guided(name, options.guided, options.seed) for name in GUIDED if options.guided}
    counts += [count for count in found.values() if isinstance(count, Count)]
    notes = [f"{name}, guided: {why}" for name, why in found.items() if isinstance(why, str)]
    sums = {name: sum(getattr(count, name) for count in counts) for name in SUMMED}
    about = about_code() | {"seed": options.seed, "hypothesis": version("hypothesis")}
    report = about | sums | {"notes": notes, "targets": [asdict(count) for count in counts]}
    write_report(options.out, report)
    print(as_markdown(counts, ("name", *SUMMED)))
    print("\n".join(notes))
    return 1 if sums["tracebacks"] else 0


if __name__ == "__main__":
    raise SystemExit(main())
