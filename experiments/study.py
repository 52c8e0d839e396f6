"""The study: methods on bags, in one command.

    python -m experiments.study --seed 1 --jobs 2 --out study

Writes results.csv.gz (a row for each family, method, task and shot count), summary.csv, stopping.csv, earned.csv,
yardstick.csv and about.json (by which code each method was measured) into the folder, and a page beside it. The noise
of a shot is the same for all methods, so differences are paired. Interrupted, it goes on where it stopped when it is
run again.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pandas as pd

from dialopt import __version__
from experiments import page
from experiments.fingerprint import CODE
from experiments.journal import Journal, about, codes, measured, write_about, write_rows
from experiments.methods import METHODS, PACKAGES, Absent
from experiments.plan import (
    FAMILY_GROUPS,
    METHOD_GROUPS,
    CannotStudy,
    Trial,
    families_named,
    methods_named,
    plan,
    task_counts,
)
from experiments.tables import earned, plain_table, stopping, summarise, yardstick
from experiments.trial import Row
from experiments.workers import run_here, run_on_dask
from experiments.worlds import make

RESULTS = "results.csv.gz"
KEY = ["family", "method", "task", "shots"]
TASKS = "100,ablations=20,bask=20,botorch=20"
"""Fewer for what is slow, or is averaged over families anyway."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs the study; the exit status is 2 for what can't be done as asked, 130 when interrupted."""
    options = _parser().parse_args(arguments)
    try:
        _study(options, Path(options.out))
    except CannotStudy as trouble:
        print(trouble, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("\nRun it again to go on from here.", file=sys.stderr)
        return 130
    return 0


def _study(options: argparse.Namespace, out: Path) -> None:
    families, keep = families_named(options.families), methods_named(options.keep)
    methods = [name for name in methods_named(options.methods) if _present(name)]
    trials = plan(families, task_counts(options.tasks, methods))
    before = _before(out, options) if keep else {}
    kept = pd.read_csv(out / RESULTS, low_memory=False) if before else pd.DataFrame(columns=KEY)
    kept = kept[kept["method"].isin(keep)]
    other = [f"{name} ({code})" for name, code in codes(before.get("codes", {}), kept["method"], [], CODE).items()]
    other = [words for words in other if not words.endswith(f"({CODE})")]
    if other:
        print(f"Kept rows of other code than this: {', '.join(other)}.", file=sys.stderr)
    out.mkdir(parents=True, exist_ok=True)
    with Journal(out, {"seed": options.seed, "shots": options.shots, "code": CODE}) as journal:
        results = measured(journal, trials, kept, KEY[:3], lambda left: _run(left, options))
        if results.empty:
            raise CannotStudy("Nothing was run: no method that was asked for is installed and fits these families.")
        # Only of what has rows: a method may be named with no bags at all.
        there = set(results["method"])
        packages = {name: version(package) for name, package in PACKAGES.items() if name in methods}
        packages = {name: of for name, of in (before.get("packages", {}) | packages).items() if name in there}
        fresh = [row["method"] for row in journal.rows]
        told = {"dialopt": __version__, "code": CODE, "seed": options.seed, "shots": options.shots}
        told |= {"against": options.against, "packages": packages}
        told |= {"codes": codes(before.get("codes", {}), kept["method"], fresh, CODE)}
        _write(out, _ordered(results), told)
        journal.discard()


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m experiments.study", description="Measures methods on bags.")

    def add(option: str, default: str, words: str) -> None:
        parser.add_argument(option, type=_list, default=_list(default), help=f"{words}; {default or 'none'} by default")

    names = "with commas; a name that there isn't is answered with all there are"
    add("--families", ",".join(FAMILY_GROUPS), f"kinds of bags, by group ({', '.join(FAMILY_GROUPS)}) or name, {names}")
    add("--methods", ",".join(METHOD_GROUPS), f"by group ({', '.join(METHOD_GROUPS)}) or name, {names}")
    add("--tasks", TASKS, "bags a family, and other numbers for some methods or groups")
    parser.add_argument("--shots", type=int, default=12, help="shots a bag")
    parser.add_argument("--seed", type=int, default=1, help="another seed, other bags and other luck")
    parser.add_argument("--jobs", type=int, default=1, help="processes")
    dask = "an existing Dask scheduler to run on; it and its workers are started in this folder, with PYTHONPATH=."
    parser.add_argument("--dask", metavar="ADDRESS", help=dask)
    parser.add_argument("--out", default="study", help="the folder to write into; the page goes beside it")
    parser.add_argument("--against", default="dialopt", help="the method that others are paired with")
    add("--keep", "", "methods, by group or name, whose rows in the folder are kept and not run again")
    return parser


def _list(text: str) -> list[str]:
    return [name.strip() for name in text.split(",") if name.strip()]


def _present(name: str) -> bool:
    try:
        METHODS[name](make("ridge", 0).pairing, 0)
    except Absent as absent:
        print(f"{name} is skipped: {absent}.", file=sys.stderr)
        return False
    return True


def _before(out: Path, options: argparse.Namespace) -> dict[str, Any]:
    """What the folder says of the study whose rows are kept; nothing for none. Raises CannotStudy if it doesn't fit."""
    before = about(out)
    for name in ("seed", "shots"):
        if before and before[name] != getattr(options, name):
            raise CannotStudy(f"To keep rows, --{name} must be as it was: {before[name]}.")
    return before


def _run(left: Sequence[Trial], options: argparse.Namespace) -> Iterator[list[Row]]:
    if options.dask:
        return run_on_dask(left, shots=options.shots, seed=options.seed, address=options.dask)
    return run_here(left, shots=options.shots, seed=options.seed, jobs=options.jobs)


def _ordered(results: pd.DataFrame) -> pd.DataFrame:
    """Rows by family, method, task and shot, the first two in the order in which a whole study runs them."""
    ranks = results[KEY].copy()
    for column, names in (("family", families_named(FAMILY_GROUPS)), ("method", METHODS)):
        order = list(dict.fromkeys([*names, *sorted(results[column].unique())]))
        ranks[column] = results[column].map({name: rank for rank, name in enumerate(order)})
    return results.loc[ranks.sort_values(KEY, kind="stable").index].reset_index(drop=True)


def _write(out: Path, results: pd.DataFrame, told: dict[str, Any]) -> None:
    write_rows(out / RESULTS, results)
    tables = {
        "summary": summarise(results, told["against"], told["seed"]),
        "stopping": stopping(results),
        "earned": earned(results, told["seed"]),
        "yardstick": yardstick(results, told["seed"]),
    }
    for name, table in tables.items():
        (out / f"{name}.csv").unlink(missing_ok=True)
        if len(table):
            table.to_csv(out / f"{name}.csv", index=False)
    write_about(out, told)
    out.with_name(f"{out.name}.html").write_text(page.compose(out), encoding="utf-8")
    print(plain_table(tables["summary"]))
    if len(tables["stopping"]):
        print("\n" + tables["stopping"].to_string(index=False))


if __name__ == "__main__":
    raise SystemExit(main())
