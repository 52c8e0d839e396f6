"""How long things take: advise, the commands, and scikit-optimize beside them in the same run.

    python -m experiments.timing --out timing.json

Prints a table in Markdown and writes it as JSON. Figures hold for the machine that they were taken on.
"""

from __future__ import annotations

import argparse
import resource
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path

import dialopt
from dialopt import Shot
from experiments.home import SET_UP, SHOT, Cost, cost_of
from experiments.methods import METHODS
from experiments.methods.libraries import Scikit, skopt_default
from experiments.methods.method import to_indices
from experiments.reporting import about_code, as_markdown, write_report
from experiments.trial import shot_rng
from experiments.worlds import World, make

FAMILY, SEED = "ridge", 4
SIZES = (12, 100)
LOGGED = 12
"""How many shots are logged before `next` is timed."""
COMMANDS: dict[str, tuple[str, ...]] = {"help": ("--help",), "next": ("next", "--json"), "shot": SHOT}
"""What is timed as a whole process, as the words after `dialopt`; what logs more comes last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """Seconds of several runs of one thing."""

    name: str
    median_s: float
    slowest_s: float
    runs: int


def timing(name: str, seconds: Sequence[float]) -> Timing:
    """Of runs that took so long, without the first, which warms up."""
    kept = seconds[1:]
    return Timing(name=name, median_s=statistics.median(kept), slowest_s=max(kept), runs=len(kept))


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
        few = range(1 + (runs if size <= 20 else max(3, runs // 2)))
        advise = [_lasts(partial(dialopt.advise, world.pairing, shots, seed=0)) for _ in few]
        theirs = [_scikit(skopt_default(world.pairing, seed), shots) for seed in few]
        timings += [timing(f"advise, {size} shots", advise), timing(_theirs(size), theirs)]
    return timings


def _lasts(call: Callable[[], object]) -> float:
    began = time.perf_counter()
    call()
    return time.perf_counter() - began


def _scikit(method: Scikit, shots: Sequence[Shot]) -> float:
    """Its tell of the last shot and the ask after it; telling the earlier ones is left out."""
    places = [to_indices(method.pairing, shot.recipe) for shot in shots]
    scores = [-(shot.score or 0.0) for shot in shots]
    method.optimizer.tell(places[:-1], scores[:-1])
    return _lasts(lambda: (method.optimizer.tell(places[-1], scores[-1]), method.optimizer.ask()))


def of_commands(run: Callable[[Sequence[str]], Cost], runs: int) -> tuple[list[Timing], float]:
    """The commands, and the peak memory of `next`, MB. run: runs a command on a logbook that isn't there yet."""
    for words in [*SET_UP, *[SHOT] * LOGGED]:
        run(words)
    costs = {name: [run(words) for _ in range(runs + 1)] for name, words in COMMANDS.items()}
    timings = [timing(f"dialopt {name}", [cost.seconds for cost in found]) for name, found in costs.items()]
    return timings, max(cost.peak_mb for cost in costs["next"])


def _theirs(size: int) -> str:
    return f"scikit-optimize tell and ask, {size} shots"


def ratios(timings: Sequence[Timing]) -> dict[int, float]:
    """For each number of shots, how many times longer scikit-optimize took."""
    median_s = {one.name: one.median_s for one in timings}
    return {n: median_s[_theirs(n)] / median_s[f"advise, {n} shots"] for n in SIZES if _theirs(n) in median_s}


def main(arguments: Sequence[str] | None = None) -> int:
    """Takes the times."""
    parser = argparse.ArgumentParser(prog="python -m experiments.timing", description="Takes the times.")
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument("--out", type=Path, default=Path("timing.json"), help="the JSON file to write")
    options = parser.parse_args(arguments)
    timings = in_process(options.runs)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024  # kilobytes on Linux
    with tempfile.TemporaryDirectory() as home:
        commands, next_mb = of_commands(lambda words: cost_of(Path(home), ["-m", "dialopt", *words]), options.runs)
    timings += commands
    memory = {"peak_mb_here": round(peak_mb), "peak_mb_of_next": round(next_mb)}
    found = {"timings": [asdict(one) for one in timings], "scikit_over_advise": ratios(timings)}
    write_report(options.out, about_code() | memory | found)
    print(as_markdown(timings, ("name", "median_s", "slowest_s", "runs")))
    print("\n".join(f"scikit-optimize over advise, {n} shots: {ratio:.1f} ×" for n, ratio in ratios(timings).items()))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
