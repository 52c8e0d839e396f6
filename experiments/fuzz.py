"""Feeds every way in with bad input, and counts what was taken, what was refused, and what broke.

    python -m experiments.fuzz --inputs 100000 --seed 6 --out reports/fuzz.json

What must hold of each input stands in `experiments.bad_input`. With --guided N, atheris also looks for N texts a target
that reach code no text before them reached; it needs the package atheris, which doesn't run on every Python.
"""

from __future__ import annotations

import argparse
import json
import platform
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from importlib.metadata import version
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings

import dialopt
from experiments.bad_input.commands import kitchen, targets
from experiments.bad_input.readers import GUIDED, TARGETS
from experiments.bad_input.target import Target
from experiments.fingerprint import WHOLE_CODE

MOST_TOLD = 5
BATCH = 2_000


@dataclass(slots=True, kw_only=True)
class Count:
    """What came of a target. tracebacks: inputs on which something was raised that is no refusal, or didn't hold."""

    name: str
    says: str
    inputs: int = 0
    accepted: int = 0
    refused: int = 0
    tracebacks: int = 0
    seconds: float = 0.0
    examples: list[str] = field(default_factory=list)


def fed(target: Target, inputs: int, number: int) -> Count:
    """The count after so many inputs, drawn from the seed `number`."""
    count = Count(name=target.name, says=target.says)

    def feed(given_input: Any) -> None:
        count.inputs += 1
        try:
            taken = target.feed(given_input)
        except Exception:
            count.tracebacks += 1
            if len(count.examples) < MOST_TOLD:
                where = traceback.format_exc(limit=-2).strip()[-500:]
                count.examples.append(f"{repr(given_input)[:500]}: {where}")
        else:
            count.accepted += taken
            count.refused += not taken

    began = time.perf_counter()
    for start in range(0, inputs, BATCH):
        # Batch by batch, as what is drawn is remembered to draw something else next, and grows large.
        drawn = settings(
            max_examples=min(BATCH, inputs - start),
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        seed(f"{number} {start}")(drawn(given(target.inputs)(feed)))()
    count.seconds = round(time.perf_counter() - began, 1)
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


def as_markdown(counts: Sequence[Count]) -> str:
    """A table."""
    lines = ["| target | inputs | accepted | refused | tracebacks | seconds |", "|---|---|---|---|---|---|"]
    lines += [f"| {c.name} | {c.inputs} | {c.accepted} | {c.refused} | {c.tracebacks} | {c.seconds} |" for c in counts]
    return "\n".join(lines)


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
    notes = []
    for name in GUIDED if options.guided else ():
        count = guided(name, options.guided, options.seed)
        if isinstance(count, Count):
            counts.append(count)
        else:
            notes.append(f"{name}, guided: {count}")
    broken = sum(count.tracebacks for count in counts)
    report = {
        "dialopt": dialopt.__version__,
        "code": WHOLE_CODE,
        "seed": options.seed,
        "python": platform.python_version(),
        "hypothesis": version("hypothesis"),
        "inputs": sum(count.inputs for count in counts),
        "accepted": sum(count.accepted for count in counts),
        "refused": sum(count.refused for count in counts),
        "tracebacks": broken,
        "seconds": round(sum(count.seconds for count in counts), 1),
        "notes": notes,
        "targets": [asdict(count) for count in counts],
    }
    options.out.write_text(json.dumps(report, indent=1) + "\n", encoding="utf-8")
    print(as_markdown(counts))
    print("\n".join(notes))
    return 1 if broken else 0


if __name__ == "__main__":
    raise SystemExit(main())
