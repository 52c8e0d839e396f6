"""The study: methods on bags, in one command.

    python -m experiments.study --tasks 100 --shots 12 --seed 1 --jobs 2 --out study

Writes results.csv (a row for each family, method, task and shot count), seconds.csv (time spent, which no seed fixes),
summary.csv, stopping.csv and study.json. The noise of a shot is the same for all methods, so differences are paired.
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

import joblib
import pandas as pd

from dialopt import __version__
from experiments.methods import METHODS, Absent
from experiments.summary import plain_table, stopping, summarise
from experiments.trial import CARRY, Row, run
from experiments.worlds import DEVELOPMENT, FAMILIES, HELD_OUT, PAIRS, make

KEY = ["family", "method", "task", "shots"]
GROUPS = {"development": list(DEVELOPMENT), "held_out": list(HELD_OUT), "carry": [CARRY + kind for kind in PAIRS]}
KNOWN = [*FAMILIES, *GROUPS["carry"]]


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs the study; the exit status is 2 for a name that isn't known."""
    options = _parser().parse_args(arguments)
    families = [family for name in options.families for family in GROUPS.get(name, [name])]
    for kind, names, known in (("family", families, KNOWN), ("method", options.methods, list(METHODS))):
        for name in names:
            if name not in known:
                print(f"There is no {kind} {name!r}; there are {', '.join(known)}.", file=sys.stderr)
                return 2
    methods = [name for name in options.methods if _present(name)]
    out = Path(options.out)
    out.mkdir(parents=True, exist_ok=True)
    kept = _kept(out, options.keep)
    done = set(kept[KEY[:3]].itertuples(index=False, name=None)) if len(kept) else set()
    plan = [(f, m, t) for f in families for m in methods for t in range(options.tasks) if (f, m, t) not in done]
    fresh = [row for rows in _run_all(plan, options) for row in rows]
    results = pd.concat([kept, pd.DataFrame(fresh)], ignore_index=True) if len(kept) else pd.DataFrame(fresh)
    if results.empty:
        print("Nothing was run: no method is installed.", file=sys.stderr)
        return 2
    _write(out, _ordered(results, families, methods), options)
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m experiments.study", description="Measures methods on bags.")
    names = f"of {', '.join(KNOWN)}; or a group of {', '.join(GROUPS)}"
    parser.add_argument("--families", type=_list, default=["development"], help=f"comma-separated, {names}")
    parser.add_argument(
        "--methods", type=_list, default=list(METHODS), help=f"comma-separated, of {', '.join(METHODS)}"
    )
    parser.add_argument("--tasks", type=int, default=100, help="bags a family")
    parser.add_argument("--shots", type=int, default=12, help="shots a bag")
    parser.add_argument("--seed", type=int, default=1, help="another seed, other bags and other luck")
    parser.add_argument("--jobs", type=int, default=1, help="processes")
    parser.add_argument("--dask", metavar="ADDRESS", help="an existing Dask scheduler to run on instead")
    parser.add_argument("--out", default="study", help="the folder to write into")
    parser.add_argument("--against", default="dialopt", help="the method that others are paired with")
    parser.add_argument("--keep", type=_list, default=[], help="methods whose rows in the folder are kept, not rerun")
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


def _kept(out: Path, methods: Sequence[str]) -> pd.DataFrame:
    results, seconds = out / "results.csv", out / "seconds.csv"
    if not methods or not results.exists() or not seconds.exists():
        return pd.DataFrame()
    rows = pd.read_csv(results).merge(pd.read_csv(seconds), on=KEY)
    return rows[rows["method"].isin(methods)]


def _trial(family: str, method: str, task: int, shots: int, seed: int) -> list[Row]:
    return run(family, method, task, shots=shots, seed=seed)


def _run_all(plan: Sequence[tuple[str, str, int]], options: argparse.Namespace) -> list[list[Row]]:
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")  # inherited by the processes that joblib starts
    calls = [joblib.delayed(_trial)(*item, options.shots, options.seed) for item in plan]
    if options.dask:
        try:
            distributed = importlib.import_module("distributed")
        except ImportError:
            raise SystemExit("--dask needs the package distributed, which isn't installed.") from None
        with distributed.Client(options.dask), joblib.parallel_config(backend="dask"):
            return list(joblib.Parallel()(calls))
    parallel = joblib.Parallel(n_jobs=options.jobs, return_as="generator")
    return list(_progress(parallel(calls), len(calls)))


def _progress(items: Iterable[list[Row]], total: int) -> Iterable[list[Row]]:
    shown = sys.stderr.isatty()
    for count, item in enumerate(items, 1):
        if shown:
            where = f"{item[0]['family']} {item[0]['method']}"
            end = "\n" if count == total else ""
            print(f"\r{count} of {total} trials, {where:<40}", end=end, file=sys.stderr, flush=True)
        yield item


def _ordered(results: pd.DataFrame, families: Sequence[str], methods: Sequence[str]) -> pd.DataFrame:
    """Rows in the order in which the families and methods were named, others after them."""
    ranks = results[KEY].copy()
    for column, names in (("family", families), ("method", methods)):
        order = list(dict.fromkeys([*names, *sorted(results[column].unique())]))
        ranks[column] = results[column].map({name: rank for rank, name in enumerate(order)})
    return results.loc[ranks.sort_values(KEY, kind="stable").index].reset_index(drop=True)


def _write(out: Path, results: pd.DataFrame, options: argparse.Namespace) -> None:
    results.drop(columns="seconds").to_csv(out / "results.csv", index=False)
    results[[*KEY, "seconds"]].round(5).to_csv(out / "seconds.csv", index=False)
    summary, stops = summarise(results, options.against, options.seed), stopping(results)
    summary.to_csv(out / "summary.csv", index=False)
    if len(stops):
        stops.to_csv(out / "stopping.csv", index=False)
    about = {"dialopt": __version__, "seed": options.seed, "tasks": options.tasks, "shots": options.shots}
    tables = {"summary": summary, "stopping": stops}
    packed = {name: json.loads(table.to_json(orient="records")) for name, table in tables.items()}
    (out / "study.json").write_text(json.dumps(about | packed, indent=1) + "\n", encoding="utf-8")
    print(plain_table(summary))
    if len(stops):
        print("\n" + stops.to_string(index=False))


if __name__ == "__main__":
    raise SystemExit(main())
