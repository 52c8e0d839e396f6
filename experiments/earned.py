"""What each part of dialopt earns: dialopt without it beside dialopt, on the same bags."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from experiments.methods import ABLATED
from experiments.plan import FAMILY_GROUPS
from experiments.summary import BOOTSTRAPS, SHOTS_SHOWN

WHOLE = "dialopt"


def earned(results: pd.DataFrame, seed: int) -> pd.DataFrame:
    """A row for each group of families, ablation and shot count.

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
    of_family = pairs.assign(close_pct=100.0 * pairs["close"], close_pct_whole=100.0 * pairs["close_whole"])
    for name in ("regret", "close_pct", "in90", "prob_near_optimal"):
        if name in of_family:
            for side, column in (("", name), ("whole_", f"{name}_whole")):
                figures[side + name] = float(of_family[column].astype(float).groupby(of_family["family"]).mean().mean())
    for name, column in (("gap", "regret"), ("close_gap", "close_pct")):
        gaps = of_family[column].astype(float) - of_family[f"{column}_whole"].astype(float)
        low, high = _interval([np.asarray(gap, np.float64) for _, gap in gaps.groupby(of_family["family"])], rng)
        figures |= {f"{name}_low": low, name: figures[column] - figures[f"whole_{column}"], f"{name}_high": high}
    return figures


def _interval(strata: list[NDArray[np.float64]], rng: np.random.Generator) -> tuple[float, float]:
    """The 95 % percentile bootstrap interval of the mean of the strata's means, each drawn anew within itself."""
    means = [values[rng.integers(0, len(values), (BOOTSTRAPS, len(values)))].mean(axis=1) for values in strata]
    low, high = np.percentile(np.mean(means, axis=0), [2.5, 97.5])
    return float(low), float(high)
