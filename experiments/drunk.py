"""What is drunk: the liking given away by every cup of a bag, tests included.

    python -m experiments.drunk --seed 21 --jobs 2 --out reports/drunk

A bag holds 6, 13 or 55 cups (100 g, 250 g, 1 kg). dialopt is followed as a person would: what it says to pull next is
pulled, tasted and logged, and from the cup on at which it says that more tests won't help, its recipe is drunk and no
longer logged. The rule of thumb and the libraries test for four, six or eight cups and drink the best-scoring one from
then on. Writes rows.csv.gz (a row a cup), drunk.csv (a row for each family, method and size of bag) and about.json (by
which code each method was measured) into the folder.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from dialopt import Advice, Pairing, Recipe, Shot, advise
from dialopt.engine.config import CONFIG, Config
from experiments.fingerprint import CODE
from experiments.insider import INSIDER, KNOWN, insider_fit
from experiments.journal import Journal, about, codes, measured, write_about, write_rows
from experiments.methods import METHODS
from experiments.methods.engine import ABLATIONS
from experiments.plan import FAMILY_GROUPS, families_named
from experiments.tables import interval, worst_tenth
from experiments.trial import Row, shot_rng, world_seed
from experiments.workers import run_here
from experiments.worlds import World, make

CUPS = (6, 13, 55)
BAGS_G = {6: 100.0, 13: 250.0, 55: 1000.0}
"""Bags of so many cups, g."""
TESTS = (4, 6, 8)
"""After how many tests somebody stops who has no better rule."""
HALF = 0.5
ROWS, TABLE = "rows.csv.gz", "drunk.csv"
KEY = ["family", "method", "task", "cups"]


@dataclass(frozen=True, slots=True)
class Cup:
    """One cup: what is pulled, whether it is logged, and what dialopt said then."""

    recipe: Recipe
    logged: bool
    advice: Advice | None = None


Drinker = Callable[[Sequence[Shot]], Cup]
"""Says what is pulled next, by what was logged; asked anew after each cup that is."""
Maker = Callable[[Pairing, int], Drinker]
"""Makes somebody for one bag, with a seed."""


def follower(config: Config = CONFIG, **options: Any) -> Maker:
    """Somebody who follows dialopt. options: for `advise`."""

    def made(pairing: Pairing, seed: int) -> Drinker:
        def drinker(shots: Sequence[Shot]) -> Cup:
            advice = advise(pairing, shots, seed=seed, config=config, **options)
            return Cup(advice.next_recipe, not advice.settled, advice)

        return drinker

    return made


def stopper(method: str, tests: int) -> Maker:
    """Somebody who tests by another method so many times and then drinks what it recommends."""

    def made(pairing: Pairing, seed: int) -> Drinker:
        asked = METHODS[method](pairing, seed)

        def drinker(shots: Sequence[Shot]) -> Cup:
            test = len(shots) < tests
            return Cup(asked.ask(shots) if test else asked.recommend(shots), test)

        return drinker

    return made


DRINKERS: dict[str, Maker] = {
    "dialopt": follower(),
    **{f"rule_of_thumb_{tests}": stopper("rule_of_thumb", tests) for tests in TESTS},
    "skopt_default_8": stopper("skopt_default", 8),
    "skopt_eager_8": stopper("skopt_eager", 8),
}
ABLATED: dict[str, Maker] = {
    "two_dials": follower(most_moves=2),
    "free_dials": follower(most_moves=3),
    "lessons_in_full": follower(replace(CONFIG, superseded=1e9)),
    "one_cup_ahead": follower(replace(CONFIG, cups_ahead=1)),
    "logged_to_the_end": follower(replace(CONFIG, price_cups=-1e9)),
    **{
        name: follower(ABLATIONS[name].config)
        for name in ("greedy", "no_careful_step", "no_gp", "no_discrepancy", "half_draws")
    },
}
"""dialopt with a part taken away or the other way round."""


def drink(family: str, method: str, task: int, cups: int, *, shots: int, seed: int) -> list[Row]:
    """A row for each cup of one bag. shots: unused, for `run_here`."""
    start = sized(make(family, world_seed(seed, task)), cups)
    maker = _insider(family) if method == INSIDER else (DRINKERS | ABLATED)[method]
    drinker = maker(start.pairing, task)
    rows: list[Row] = []
    log: list[Shot] = []
    cup: Cup | None = None
    for number in range(cups):
        world = start.at(number)
        if cup is None or cup.logged:
            cup = drinker(log)
        row: Row = {"family": family, "method": method, "task": task, "cups": cups, "cup": number + 1}
        row |= {"regret": round(world.regret(start.pairing.check(cup.recipe)), 6), "logged": cup.logged}
        if cup.advice is not None:
            spot = cup.advice.sweet_spot
            row |= {
                "spot_regret": round(world.regret(spot.recipe), 6),
                "prob_near_optimal": round(spot.prob_near_optimal, 6),
            }
        rows.append(row)
        if cup.logged:
            log.append(world.pull(cup.recipe, shot_rng(family, start.seed, number)))
    return rows


def _insider(family: str) -> Maker:
    return follower(replace(CONFIG, fit=partial(insider_fit, KNOWN[family])))


def sized(world: World, cups: int) -> World:
    """The same world with a bag of so many cups."""

    def of(one: World) -> World:
        bean = replace(one.pairing.bean, bag_g=BAGS_G[cups])
        return replace(one, pairing=replace(one.pairing, bean=bean))

    if world.later is None:
        return of(world)
    later = world.later
    return replace(of(world), later=lambda number: of(later(number)))


def drunk(rows: pd.DataFrame, seed: int) -> pd.DataFrame:
    """A row for each family, method and size of bag.

    lost: mean loss a cup with its 95 % bootstrap interval over bags. half_pct: cups within half a point. worst_tenth:
    mean of the worst tenth of bags. tests: cups logged, median. against: lost less that of the best rule of thumb on
    the same bags, with its interval; ratio: of the two means.
    """
    table = []
    for (family, cups), part in rows.groupby(["family", "cups"], sort=False):
        lost = part.pivot_table(index="task", columns="method", values="regret", aggfunc="mean")
        rules = [name for name in lost if str(name).startswith("rule_of_thumb")]
        best = lost[rules].mean().idxmin() if rules else None
        for method, mine in part.groupby("method", sort=False):
            values = lost[method].dropna().to_numpy(float)
            rng = np.random.default_rng(seed)
            row: Row = {"family": family, "cups": cups, "method": method, "tasks": len(values)}
            row |= interval("lost", [values], rng)
            row["half_pct"] = 100.0 * float((mine["regret"] <= HALF).mean())
            row["worst_tenth"] = worst_tenth(values)
            row["tests"] = float(mine.groupby("task")["logged"].sum().median())
            if best is not None and method != best:
                gap = lost[method] - lost[best]
                row |= interval("against", [gap.dropna().to_numpy(float)], rng)
                row["ratio"] = float(values.mean() / lost[best][lost[method].notna()].mean())
            table.append(row)
    return pd.DataFrame(table).round(4)


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs what the folder doesn't hold yet; interrupted, it goes on where it stopped."""
    parser = argparse.ArgumentParser(prog="python -m experiments.drunk", description="Liking lost by every cup.")
    parser.add_argument("--families", default=",".join(FAMILY_GROUPS), help="kinds of bags, by group or name")
    parser.add_argument(
        "--methods", default=",".join(DRINKERS), help="of " + ", ".join([*(DRINKERS | ABLATED), INSIDER])
    )
    parser.add_argument("--cups", default=",".join(map(str, CUPS)), help="cups a bag holds")
    parser.add_argument("--tasks", type=int, default=60, help="bags a family")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1, help="processes")
    parser.add_argument("--out", type=Path, default=Path("drunk"), help="the folder to write into")
    options = parser.parse_args(arguments)
    families = families_named(options.families.split(","))
    trials = [
        (family, method, task, cups)
        for task in range(options.tasks)
        for family in families
        for cups in map(int, options.cups.split(","))
        for method in options.methods.split(",")
        if method != INSIDER or family in KNOWN
    ]
    options.out.mkdir(parents=True, exist_ok=True)
    path = options.out / ROWS
    kept = pd.read_csv(path, low_memory=False) if path.exists() else pd.DataFrame(columns=KEY)
    with Journal(options.out, {"seed": options.seed, "code": CODE}) as journal:
        run = partial(run_here, shots=0, seed=options.seed, jobs=options.jobs, trial=drink)
        every = measured(journal, trials, kept, KEY, run).sort_values([*KEY, "cup"], kind="stable")
        write_rows(path, every)
        table = drunk(every, options.seed)
        table.to_csv(options.out / TABLE, index=False)
        fresh = [row["method"] for row in journal.rows]
        before = about(options.out).get("codes", {})
        write_about(options.out, {"seed": options.seed, "codes": codes(before, kept["method"], fresh, CODE)})
        journal.discard()
    print(table.to_string(index=False), file=sys.stdout)
    return 0


if __name__ == "__main__":
    from experiments.drunk import main as run  # so that other processes find by its module what they are sent

    raise SystemExit(run())
