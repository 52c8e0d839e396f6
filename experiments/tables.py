"""From rows to figures: losses, when testing ends, what each part of dialopt earns, and a yardstick for losses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from experiments.methods import ABLATED
from experiments.plan import FAMILY_GROUPS
from experiments.trial import CARRY, bag, world_seed
from experiments.worlds import World

BOOTSTRAPS = 2000
SHOTS_SHOWN = (0, 1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20)
HONESTY = ("in50", "in80", "in90", "predicted50", "predicted80", "predicted90", "region_share", "prob_near_optimal")
WHOLE = "dialopt"


def summarise(results: pd.DataFrame, reference: str, seed: int) -> pd.DataFrame:
    """A row for each family, method and shot count shown.

    regret, close_pct with 95 % intervals; worst_decile: mean regret of the worst tenth of tasks; against_low, against,
    against_high: mean regret less that of the reference method on the same tasks, paired; and the shares of HONESTY.
    """
    rows = []
    for family, of_family in results.groupby("family", sort=False):
        regret = of_family.pivot(index="task", columns=["method", "shots"], values="regret")
        for method, of_method in of_family.groupby("method", sort=False):
            for shots in [count for count in SHOTS_SHOWN if (method, count) in regret]:
                here = of_method[of_method["shots"] == shots]
                values = regret[(method, shots)].dropna().to_numpy(float)
                row: dict[str, Any] = {"family": family, "method": method, "shots": shots, "tasks": len(values)}
                rng = np.random.default_rng(seed)
                row |= interval("regret", [values], rng)
                row |= interval("close", [np.where(values <= 0.5, 100.0, 0.0)], rng, mean="close_pct")
                row["worst_decile"] = worst_tenth(values)
                row["next_regret"] = float(here["next_regret"].mean())
                if method != reference and (reference, shots) in regret:
                    gap = (regret[(method, shots)] - regret[(reference, shots)]).dropna().to_numpy(float)
                    row |= interval("against", [gap], rng) if len(gap) else {}
                for name in HONESTY:
                    if name in here and here[name].notna().any():
                        row[name] = float(here[name].astype(float).mean())
                rows.append(row)
    return pd.DataFrame(rows).round(4)


def stopping(results: pd.DataFrame) -> pd.DataFrame:
    """A row for each family and method that says when it has settled.

    settled_pct: bags settled within the shots pulled; by_shot: median shot count of settling, counting unsettled bags
    as later than all; off_pct: settled bags whose recommendation was more than half a point off at that moment;
    stated_pct: mean stated probability of being close then; in90_pct: those whose 90 % region held the best then.
    """
    if "settled" not in results:
        return pd.DataFrame()
    frank = results[results["settled"].notna()]
    rows = []
    for (family, method), group in frank.groupby(["family", "method"], sort=False):
        tasks = group["task"].nunique()
        first = group[group["settled"].astype(bool)].sort_values("shots").groupby("task").first()
        counts = np.full(tasks, np.inf)
        counts[: len(first)] = first["shots"]
        median = float(np.sort(counts)[(tasks - 1) // 2])
        row: dict[str, Any] = {"family": family, "method": method, "tasks": tasks}
        row |= {"settled_pct": 100 * len(first) / tasks, "by_shot": median if np.isfinite(median) else None}
        if len(first):
            row["off_pct"] = float(100 * (first["regret"] > 0.5).mean())
            row["stated_pct"] = float(100 * first["prob_near_optimal"].astype(float).mean())
            row["in90_pct"] = float(100 * first["in90"].astype(float).mean())
        rows.append(row)
    return pd.DataFrame(rows).round(4)


def earned(results: pd.DataFrame, seed: int) -> pd.DataFrame:
    """What each part earns: a row for each group of families, ablation and shot count, on the bags that both have.

    regret, close_pct, in90, prob_near_optimal: means over the bags without the part; whole_regret … the same with it.
    gap_low, gap, gap_high: regret without the part less that with it, with the 95 % bootstrap interval over bags,
    paired and drawn anew within each family; close_gap … the same for the share of bags within half a point, in
    percent. Families count alike.
    """
    rows = []
    names = [name for name in ABLATED if name in set(results["method"])]
    for group in ("development", "held_out"):
        here = results[results["family"].isin(FAMILY_GROUPS[group]) & results["shots"].isin(SHOTS_SHOWN)]
        whole = here[here["method"] == WHOLE]
        for name in names:
            part = here[here["method"] == name]
            both = part.merge(whole, on=["family", "task", "shots"], suffixes=("", "_whole"))
            for shots, pairs in both.groupby("shots"):
                row: dict[str, Any] = {"group": group, "method": name, "shots": shots, "tasks": len(pairs)}
                rows.append(row | _compared(pairs, np.random.default_rng(seed)))
    return pd.DataFrame(rows).round(4)


def _compared(pairs: pd.DataFrame, rng: np.random.Generator) -> dict[str, float]:
    """One row's figures. pairs: a row a bag."""
    figures: dict[str, float] = {"families": pairs["family"].nunique()}
    bags = pairs.assign(close_pct=100.0 * pairs["close"], close_pct_whole=100.0 * pairs["close_whole"])
    for name in ("regret", "close_pct", "in90", "prob_near_optimal"):
        if name in bags:
            for side, column in (("", name), ("whole_", f"{name}_whole")):
                figures[side + name] = float(bags[column].astype(float).groupby(bags["family"]).mean().mean())
    for name, column in (("gap", "regret"), ("close_gap", "close_pct")):
        gaps = bags[column].astype(float) - bags[f"{column}_whole"].astype(float)
        figures |= interval(name, [np.asarray(gap, np.float64) for _, gap in gaps.groupby(bags["family"])], rng)
    return figures


def right_grind_regret(world: World) -> float:
    """Loss, in points, of the best grind there is at the middle of the other dials.

    A yardstick: what somebody gives away who knows the best grind exactly. No method may use it, as it looks at the
    truth. It tells how much of a loss is grind, which a few shots can find, and how much is the rest, whose best
    settings differ from bag to bag and show only faintly in a noisy score.
    """
    grid = world.liking_grid()
    at_middle = grid[(slice(None), *((count - 1) // 2 for count in grid.shape[1:]))]
    return float(world.best_liking - at_middle.max())


def yardstick(results: pd.DataFrame, seed: int) -> pd.DataFrame:
    """A row for each family with one bag to find: regret and close_pct of the right grind on the results' bags."""
    rows = []
    for family, of_family in results.groupby("family", sort=False):
        if not str(family).startswith(CARRY):
            worlds = (bag(str(family), world_seed(seed, int(task)))[0] for task in of_family["task"].unique())
            losses = np.array([right_grind_regret(world) for world in worlds])
            figures = {"regret": np.mean(losses), "close_pct": 100.0 * np.mean(losses <= 0.5)}
            rows.append({"family": family, "tasks": len(losses), **figures})
    return pd.DataFrame(rows).round(4)


def plain_table(summary: pd.DataFrame, shots: Sequence[int] = (3, 6, 10, 12)) -> str:
    """The losses and shares for a terminal, a line for each family and method."""
    lines = [f"{'family':<20} {'method':<24} " + " ".join(f"{f'{count} shots':>14}" for count in shots)]
    for (family, method), group in summary.groupby(["family", "method"], sort=False):
        cells = []
        for count in shots:
            found = group[group["shots"] == count]
            cells.append(f"{found['regret'].item():.2f}, {found['close_pct'].item():.0f} %" if len(found) else "–")
        lines.append(f"{family:<20} {method:<24} " + " ".join(f"{cell:>14}" for cell in cells))
    return "\n".join(lines)


def interval(
    name: str, strata: Sequence[NDArray[np.float64]], rng: np.random.Generator, *, mean: str | None = None
) -> Mapping[str, float]:
    """The mean of the strata's means with its 95 % percentile bootstrap interval, each stratum drawn within itself.

    Under `name`_low, `name` (or `mean`) and `name`_high.
    """
    means = [values[rng.integers(0, len(values), (BOOTSTRAPS, len(values)))].mean(axis=1) for values in strata]
    low, high = np.percentile(np.mean(means, axis=0), [2.5, 97.5])
    middle = np.mean([values.mean() for values in strata])
    return {f"{name}_low": float(low), mean or name: float(middle), f"{name}_high": float(high)}


def worst_tenth(losses: NDArray[np.float64]) -> float:
    """Mean loss of the worst tenth of bags."""
    return float(np.sort(losses)[-max(1, len(losses) // 10) :].mean())
