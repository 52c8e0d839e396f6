"""How well the tests of the decisions guard them: mutants made by mutmut, and which of them no test notices.

    pip install -e ".[test,mutation]"
    python -m experiments.mutation --out reports/mutation.json

Modules of `FULL` are mutated throughout, those of `SAMPLED` in part, drawn by the seed. A survivor's line "why" is for
a person to write in the report: it is kept while the mutant is the same. Stopped and started again, it goes on where it
was. Mutmut leaves alone what a decorator wraps (properties) and tables at the top of a module; what a module runs while
it is imported, it can't switch.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from random import Random

import dialopt

PACKAGE = "dialopt.decisions"
META = Path("mutants/dialopt/decisions")
SAMPLED = ("advise", "candidates", "knowledge", "lesson", "next_shot", "sweet_spot")
"""Modules whose tests fit a whole model: every mutant of them would take a night."""
FULL = tuple(sorted({path.stem for path in (Path(dialopt.__file__).parent / "decisions").glob("*.py")} - {*SAMPLED}))
FIRST = "odds"
"""A small module: trying it makes the mutants of all the others too."""
KILLED, SURVIVED, NOT_RUN = (1, 3), 0, None
"""Exit statuses of a mutant's tests; any other means that no test runs it, or that it hung or crashed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Survivor:
    """A mutant that no test noticed. was, became: the lines that differ. why: one line from whoever read it."""

    mutant: str
    was: str
    became: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Module:
    """One module's count. made: mutants there are. run: those tried. other: hung, crashed, or reached by no test.

    explained: survivors with a line why. seconds: what the tests of all that were run took.
    """

    module: str
    made: int
    run: int
    killed: int
    survived: int
    explained: int
    other: int
    seconds: float


def mutmut(*words: str) -> str:
    """Runs mutmut; its progress goes to standard error. Raises CalledProcessError."""
    command = [sys.executable, "-m", "mutmut", *words]
    show = words[0] == "show"
    done = subprocess.run(command, check=True, text=True, stdout=subprocess.PIPE if show else sys.stderr)
    return done.stdout or ""


def run(names: Sequence[str], jobs: int) -> None:
    """Tries these mutants, whether they were tried before or not."""
    if names:
        mutmut("run", "--max-children", str(jobs), *names)


def exits(module: str) -> dict[str, int | None]:
    """Exit status of each mutant's tests, by its name."""
    known: dict[str, int | None] = json.loads((META / f"{module}.py.meta").read_text("utf-8"))["exit_code_by_key"]
    return known


def seconds(module: str) -> float:
    """What the tests of a module's mutants took."""
    took: dict[str, float] = json.loads((META / f"{module}.py.meta").read_text("utf-8"))["durations_by_key"]
    return round(sum(took.values()), 1)


def forget_survivors(path: Path) -> None:
    """Marks every mutant of a module that wasn't killed as not run."""
    told = json.loads(path.read_text("utf-8"))
    known = told["exit_code_by_key"]
    told["exit_code_by_key"] = {name: status if status in KILLED else NOT_RUN for name, status in known.items()}
    path.write_text(json.dumps(told), "utf-8")


def lines_changed(difference: str) -> tuple[str, str]:
    """What was there and what it became, from a unified difference."""
    body = [line for line in difference.splitlines() if line[:1] in ("-", "+") and line[:3] not in ("---", "+++")]
    was, became = ([line[1:].strip() for line in body if line[0] == sign] for sign in "-+")
    return " ".join(was), " ".join(became)


def sampled(names: Sequence[str], share: float, seed: int) -> list[str]:
    """That share of the names, the same ones for the same seed."""
    return Random(seed).sample(sorted(names), round(share * len(names)))


def still_to_run(module: str, share: float, seed: int) -> list[str]:
    """The mutants of a module that are wanted and weren't tried yet."""
    found = exits(module)
    wanted = sampled([*found], share, seed) if module in SAMPLED else [*found]
    return [name for name in wanted if found[name] is NOT_RUN]


def count(module: str, known: dict[tuple[str, str, str], str]) -> tuple[Module, list[Survivor]]:
    """A module's count and its survivors. known: lines why, by function, was and became."""
    found, survivors = exits(module), []
    for name in sorted(name for name, status in found.items() if status == SURVIVED):
        was, became = lines_changed(mutmut("show", name))
        short = name.removeprefix(f"{PACKAGE}.")
        why = known.get((short.split("__mutmut")[0], was, became), "")
        survivors.append(Survivor(mutant=short, was=was, became=became, why=why))
    tried = [status for status in found.values() if status is not NOT_RUN]
    killed = sum(status in KILLED for status in tried)
    return Module(
        module=module,
        made=len(found),
        run=len(tried),
        killed=killed,
        survived=len(survivors),
        explained=sum(bool(one.why) for one in survivors),
        other=len(tried) - killed - len(survivors),
        seconds=seconds(module),
    ), survivors


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs what isn't run yet, and writes the report."""
    parser = argparse.ArgumentParser(prog="python -m experiments.mutation", description="Mutates the decisions.")
    parser.add_argument("--out", type=Path, required=True, help="the JSON file to write")
    parser.add_argument("--share", type=float, default=0.1, help="how much of the modules of SAMPLED")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--again", action="store_true", help="try the survivors again, as after new tests")
    parser.add_argument("--only-count", action="store_true", help="run nothing: count what was run, with new lines why")
    options = parser.parse_args(arguments)
    if options.again:
        for path in META.glob("*.meta"):
            forget_survivors(path)
    if not options.only_count:
        run([f"{PACKAGE}.{FIRST}.*"], options.jobs)
    modules = sorted(path.name.removesuffix(".py.meta") for path in META.glob("*.meta"))
    made = [module for module in modules if exits(module)]
    if not made:
        print(f"There is no mutant in {META.parts[0]} to count; without --only-count they are made.", file=sys.stderr)
        return 2
    if not options.only_count:
        run([name for module in made for name in still_to_run(module, options.share, options.seed)], options.jobs)
    before = json.loads(options.out.read_text("utf-8"))["survivors"] if options.out.exists() else []
    known = {(one["mutant"].split("__mutmut")[0], one["was"], one["became"]): one["why"] for one in before}
    counted = [count(module, known) for module in made]
    tally = [module for module, _ in counted]
    total = {
        name: sum(getattr(one, name) for one in tally)
        for name in ("made", "run", "killed", "survived", "explained", "other")
    }
    score = {"killed_pct": round(100 * total["killed"] / max(total["run"], 1), 1)}
    report = {
        "dialopt": dialopt.__version__,
        "seed": options.seed,
        "share_of_sampled": options.share,
        "total": total | score,
        "modules": [asdict(one) for one in tally],
        "survivors": [asdict(one) for _, survivors in counted for one in survivors],
    }
    options.out.write_text(json.dumps(report, indent=1, ensure_ascii=False) + "\n", "utf-8")
    print(f"{total['killed']} of {total['run']} mutants killed, {score['killed_pct']} %.")
    print(f"{total['explained']} of {total['survived']} survivors explained.")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
