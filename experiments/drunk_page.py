"""One HTML page of what is drunk: liking lost a cup, by kind and size of bag, and the curve from cup to cup.

python -m experiments.drunk_page reports/drunk --out reports/drunk.html
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pandas as pd

from experiments.drunk import ROWS, TABLE
from experiments.page import TITLES
from experiments.plan import FAMILY_GROUPS
from experiments.reporting import page_of

WIDE, HIGH = 640, 240
"""Of a picture, in its own units."""


def compose(folder: Path) -> str:
    """The page of one folder of `experiments.drunk`."""
    table = pd.read_csv(folder / TABLE)
    rows = pd.read_csv(folder / ROWS, low_memory=False)
    groups = [_group(group, table, rows) for group in FAMILY_GROUPS if set(FAMILY_GROUPS[group]) & set(table["family"])]
    return page_of("drunk.html", groups=groups, wide=WIDE, high=HIGH)


def _group(group: str, table: pd.DataFrame, rows: pd.DataFrame) -> dict[str, Any]:
    part = table[table["family"].isin(FAMILY_GROUPS[group])]
    sizes = []
    for cups, of_size in part.groupby("cups"):
        means = of_size.groupby("method", sort=False)["lost"].mean()
        rules = means[[name for name in means.index if str(name).startswith("rule_of_thumb")]]
        drunk = rows[rows["family"].isin(of_size["family"].unique()) & (rows["cups"] == cups)]
        sizes.append(
            {
                "cups": int(str(cups)),
                "methods": [_method(str(name), of_size) for name in means.index],
                "curves": _curves(drunk, ["dialopt", *([str(rules.idxmin())] if len(rules) else [])]),
            }
        )
    return {"title": TITLES[group], "families": list(part["family"].unique()), "sizes": sizes}


def _method(name: str, table: pd.DataFrame) -> dict[str, Any]:
    mine = table[table["method"] == name].set_index("family")
    cells = []
    for family in table["family"].unique():
        row = mine.loc[family] if family in mine.index else None
        cells.append("–" if row is None else f"{row['lost']:.2f} ({row['lost_low']:.2f}–{row['lost_high']:.2f})")
    mean = mine[["lost", "half_pct", "worst_tenth", "tests"]].mean()
    return {
        "name": name,
        "tasks": int(mine["tasks"].max()),
        "cells": cells,
        "mean": f"{mean['lost']:.2f}",
        "half": f"{mean['half_pct']:.0f} %",
        "worst": f"{mean['worst_tenth']:.2f}",
        "tests": f"{mean['tests']:.0f}",
    }


def _curves(rows: pd.DataFrame, methods: Sequence[str]) -> list[dict[str, Any]]:
    """Mean loss by cup of each method, as points of a polyline and as numbers."""
    by_cup = rows.groupby(["method", "family", "cup"])["regret"].mean().groupby(["method", "cup"]).mean()
    top = float(by_cup.loc[list(methods)].max())
    curves = []
    for method in methods:
        losses = by_cup.loc[method]
        span = max(len(losses) - 1, 1)
        points = [f"{WIDE * at / span:.1f},{HIGH * (1 - regret / top):.1f}" for at, regret in enumerate(losses)]
        told = [f"{regret:.2f}" for regret in losses]
        curves.append({"method": method, "points": " ".join(points), "losses": told, "top": f"{top:.1f}"})
    return curves


def main(arguments: Sequence[str] | None = None) -> int:
    """Writes the page."""
    parser = argparse.ArgumentParser(prog="python -m experiments.drunk_page", description="A page of what is drunk.")
    parser.add_argument("folder", type=Path, help="what experiments.drunk wrote")
    parser.add_argument("--out", type=Path, required=True, help="the page to write")
    options = parser.parse_args(arguments)
    options.out.write_text(compose(options.folder), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
