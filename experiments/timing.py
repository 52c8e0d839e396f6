"""How long things take: advise, the commands, and scikit-optimize beside them in the same run.

    python -m experiments.timing --out timing.json

Prints a table in Markdown and writes it as JSON. Figures hold for the machine that they were taken on.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

import dialopt
from dialopt import Shot
from experiments.fingerprint import WHOLE_CODE
from experiments.measured import cost_of
from experiments.methods import METHODS
from experiments.methods.method import to_indices
from experiments.trial import shot_rng
from experiments.worlds import World, make

FAMILY, SEED = "ridge", 4
SIZES = (12, 100)

SET_UP: list[list[str]] = [
    ["grinder", "bench grinder", "--grind", "0:40:1", "--finer", "down"],
    ["machine", "bench machine", "--temp", "88:96:1"],
    ["basket", "double", "--dose", "16.5:20:0.1"],
    ["bean", "washed sample"],
    ["pairing"],
]
"""Commands that prepare a logbook before anything is timed, as the words after `dialopt`."""
LOG_WORDS = ["shot", "--grind", "18", "--dose", "18", "--temp", "93", "--yield", "36", "--time", "27", "--score", "7"]
LOGGED = 12
"""How many times LOG_WORDS are run before `next` is timed."""
COMMANDS: dict[str, list[str]] = {"help": ["--help"], "next": ["next", "--json"], "shot": LOG_WORDS}
"""What is timed as a whole process, as the words after `dialopt`; what logs more comes last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """Seconds of several runs of one thing."""

    name: str
    median_s: float
    slowest_s: float
    runs: int


def measure(name: str, call: Callable[[], object], runs: int) -> Timing:
    """Runs `call` once to warm up and then `runs` times."""
    call()
    seconds = []
    for _ in range(runs):
        began = time.perf_counter()
        call()
        seconds.append(time.perf_counter() - began)
    return Timing(name=name, median_s=statistics.median(seconds), slowest_s=max(seconds), runs=runs)


def some_shots(world: World, count: int) -> list[Shot]:
    """Shots along the first `count` recipes of a Sobol set."""
    sobol, shots = METHODS["sobol"](world.pairing, 0), list[Shot]()
    for index in range(count):
        shots.append(world.pull(sobol.ask(shots), shot_rng(FAMILY, SEED, index)))
    return shots


def in_process(runs: int) -> list[Timing]:
    """advise, and scikit-optimize's tell and ask, after each number of shots of SIZES."""
    world = make(FAMILY, SEED)
    timings = []
    for size in SIZES:
        shots = some_shots(world, size)
        few = runs if size <= 20 else max(3, runs // 2)
        timings.append(
            measure(f"advise, {size} shots", lambda s=shots: dialopt.advise(world.pairing, s, seed=0), few)  # type: ignore[misc]
        )
        timings.append(_scikit(world, shots, few))
    return timings


def _scikit(world: World, shots: Sequence[Shot], runs: int) -> Timing:
    """Its tell of the last shot and the ask after it; telling the earlier ones is left out."""
    seconds = []
    for seed in range(runs + 1):
        method = METHODS["skopt_default"](world.pairing, seed)
        optimizer = method.optimizer  # type: ignore[attr-defined]
        places = [to_indices(world.pairing, shot.recipe) for shot in shots]
        scores = [-(shot.score or 0.0) for shot in shots]
        optimizer.tell(places[:-1], scores[:-1])
        began = time.perf_counter()
        optimizer.tell(places[-1], scores[-1])
        optimizer.ask()
        seconds.append(time.perf_counter() - began)
    kept = seconds[1:]
    name = f"scikit-optimize tell and ask, {len(shots)} shots"
    return Timing(name=name, median_s=statistics.median(kept), slowest_s=max(kept), runs=runs)


def whole_processes(runs: int) -> tuple[list[Timing], int | None]:
    """The commands, each as a process of its own on a fresh logbook, and the peak memory of `next`, MB.

    None of either when there is no console script or it refuses.
    """
    script = Path(sys.executable).with_name("dialopt")
    program = str(script) if script.exists() else shutil.which("dialopt")
    if program is None:
        print("The commands are skipped: no console script dialopt is installed.", file=sys.stderr)
        return [], None
    with tempfile.TemporaryDirectory() as home:
        surroundings = os.environ | {"DIALOPT_HOME": home}

        def run(words: list[str]) -> None:
            done = subprocess.run([program, *words], env=surroundings, capture_output=True, text=True, check=False)
            if done.returncode:
                raise RuntimeError(f"dialopt {' '.join(words)} ended with {done.returncode}: {done.stderr.strip()}")

        try:
            for words in [*SET_UP, *[LOG_WORDS] * LOGGED]:
                run(words)
            next_mb = round(cost_of([program, *COMMANDS["next"]], surroundings).peak_mb)
            timings = [measure(f"dialopt {name}", lambda w=words: run(w), runs) for name, words in COMMANDS.items()]  # type: ignore[misc]
            return timings, next_mb
        except RuntimeError as trouble:
            print(f"The commands are skipped: {trouble}", file=sys.stderr)
            return [], None


def as_markdown(timings: Sequence[Timing]) -> str:
    """A table, with scikit-optimize's time over advise's where both were taken."""
    lines = ["| what | median s | slowest s | runs |", "|---|---|---|---|"]
    lines += [f"| {t.name} | {t.median_s:.3f} | {t.slowest_s:.3f} | {t.runs} |" for t in timings]
    lines += [f"| scikit-optimize over advise, {size} shots | {ratio:.1f} × | | |" for size, ratio in ratios(timings)]
    return "\n".join(lines)


def ratios(timings: Sequence[Timing]) -> list[tuple[int, float]]:
    """For each number of shots, how many times longer scikit-optimize took."""
    by_name = {timing.name: timing.median_s for timing in timings}
    pairs = [(n, f"advise, {n} shots", f"scikit-optimize tell and ask, {n} shots") for n in SIZES]
    return [(n, by_name[theirs] / by_name[ours]) for n, ours, theirs in pairs if ours in by_name and theirs in by_name]


def main(arguments: Sequence[str] | None = None) -> int:
    """Takes the times."""
    parser = argparse.ArgumentParser(prog="python -m experiments.timing", description="Takes the times.")
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument("--out", default="timing.json", help="the JSON file to write")
    options = parser.parse_args(arguments)
    timings = in_process(options.runs)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024  # kilobytes on Linux
    commands, next_mb = whole_processes(options.runs)
    timings += commands
    about = {"dialopt": dialopt.__version__, "code": WHOLE_CODE}
    about |= {"python": platform.python_version(), "machine": platform.machine()}
    memory = {"peak_mb_here": round(peak_mb), "peak_mb_of_next": next_mb}
    packed = {"timings": [asdict(t) for t in timings], "scikit_over_advise": dict(ratios(timings))}
    Path(options.out).write_text(json.dumps(about | memory | packed, indent=1) + "\n", encoding="utf-8")
    print(as_markdown(timings))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
