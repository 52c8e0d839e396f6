"""From rows to figures: means by family, method and shot count, with bootstrap intervals over tasks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

BOOTSTRAPS = 2000
SHOTS_SHOWN = (0, 1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20)
HONESTY = ("in50", "in80", "in90", "predicted50", "predicted80", "predicted90", "region_share", "prob_near_optimal")


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
                mine = regret[(method, shots)].dropna()
                row: dict[str, Any] = {"family": family, "method": method, "shots": shots, "tasks": len(mine)}
                rng = np.random.default_rng(seed)
                values = mine.to_numpy(float)
                row |= dict(zip(("regret_low", "regret", "regret_high"), interval(values, rng), strict=True))
                close = np.where(values <= 0.5, 100.0, 0.0)
                row |= dict(zip(("close_low", "close_pct", "close_high"), interval(close, rng), strict=True))
                row["worst_decile"] = float(np.sort(values)[-max(1, len(values) // 10) :].mean())
                row["next_regret"] = float(here["next_regret"].mean())
                if method != reference and (reference, shots) in regret:
                    gap = (regret[(method, shots)] - regret[(reference, shots)]).dropna().to_numpy(float)
                    if len(gap):
                        names = ("against_low", "against", "against_high")
                        row |= dict(zip(names, interval(gap, rng), strict=True))
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


def interval(values: NDArray[np.float64], rng: np.random.Generator) -> tuple[float, float, float]:
    """Low end, mean and high end of the 95 % percentile bootstrap interval of the mean."""
    means = values[rng.integers(0, len(values), (BOOTSTRAPS, len(values)))].mean(axis=1)
    low, high = np.percentile(means, [2.5, 97.5])
    return float(low), float(values.mean()), float(high)
