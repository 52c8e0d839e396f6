"""One HTML page of a study: how far off each method is, what each part of dialopt earns, how honest it is about itself.

python -m experiments.page STUDY_FOLDER --out reports/study.html
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import jinja2
import pandas as pd

from experiments.methods import ABLATED, PREFIX
from experiments.plan import FAMILY_GROUPS

TEMPLATE = Path(__file__).with_name("page.html")
SHOTS = (3, 6, 10, 12)
PART_SHOTS = (3, 6, 12)
HONESTY_SHOTS = (4, 8, 12)
RIGHT_GRIND = "(the right grind)"
ORACLE_TABLE = "oracle.csv"
ORACLE = "(knows all but the surface)"
INSIDER_LOSSES, INSIDER_STOPS = "insider.csv", "insider_stopping.csv"
TITLES = {
    "development": "Development families",
    "held_out": "Held-out families",
    "carry": "Second bags, with the first as history",
}


def compose(folder: Path) -> str:
    """The page of one study's folder."""
    about = json.loads((folder / "study.json").read_text(encoding="utf-8"))
    tables = ("summary", "stopping", "earned", "yardstick")
    summary, stopping, earned, yardstick = (pd.DataFrame(about[name]) for name in tables)
    oracle = pd.read_csv(folder / ORACLE_TABLE) if (folder / ORACLE_TABLE).exists() else pd.DataFrame({"family": []})
    insiders = [pd.read_csv(folder / name) for name in (INSIDER_LOSSES, INSIDER_STOPS) if (folder / name).exists()]
    # Kept rows may be of parts that are gone by now.
    ablated = summary["method"].str.startswith(PREFIX)
    earned = earned[earned["method"].isin(list(ABLATED))] if len(earned) else earned
    whole = pd.concat([summary[~ablated], *insiders[:1]], ignore_index=True)
    own = summary[(summary["method"] == "dialopt") & summary["shots"].isin(HONESTY_SHOTS)]
    stops = stopping[stopping["method"] == "dialopt"] if len(stopping) else stopping
    template = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined).from_string(
        TEMPLATE.read_text(encoding="utf-8")
    )
    return template.render(
        about=about,
        packages=", ".join(f"{method} ({version})" for method, version in about["packages"].items()),
        others=", ".join(f"{method} ({code})" for method, code in _other_code(about).items()),
        fewer=_fewer(whole),
        groups=_groups(whole, yardstick, oracle),
        right_grind=RIGHT_GRIND,
        oracle=ORACLE if len(oracle) else None,
        shots=SHOTS,
        parts=_parts(earned) if len(earned) else [],
        part_shots=PART_SHOTS,
        honesty=[_honesty(row) for _, row in own.iterrows()],
        insiders=bool(insiders),
        stops=[_stop(row) for table in (stops, *insiders[1:]) for _, row in table.iterrows()],
    )


def _other_code(about: Mapping[str, Any]) -> dict[str, str]:
    return {method: code for method, code in about.get("codes", {}).items() if code != about["code"]}


def _fewer(summary: pd.DataFrame) -> str:
    most = summary.groupby("method", sort=False)["tasks"].max()
    return ", ".join(f"{method} {tasks}" for method, tasks in most[most < most.max()].items())


def _groups(
    summary: pd.DataFrame, yardstick: pd.DataFrame, oracle: pd.DataFrame
) -> list[tuple[str, list[tuple[str, list[dict[str, Any]]]]]]:
    groups = []
    for group, title in TITLES.items():
        part = summary[summary["family"].isin(FAMILY_GROUPS[group])]
        families = [
            (str(family), [*_rows(rows), *_right_grind(yardstick, str(family)), *_oracle(oracle, str(family))])
            for family, rows in part.groupby("family", sort=False)
        ]
        if families:
            groups.append((title, families))
    return groups


def _rows(part: pd.DataFrame) -> list[dict[str, Any]]:
    rows = []
    for method, group in part.groupby("method", sort=False):
        by_shots = _by_shots(group)
        cells = []
        for count in SHOTS:
            row = by_shots.get(count)
            cells += [_interval(row, "regret"), f"{row['close_pct']:.0f} %"] if row else ["–", "–"]
        cells.append(_gap(by_shots.get(6), "against", 2))
        rows.append({"method": method, "tasks": int(group["tasks"].max()), "cells": cells})
    return rows


def _right_grind(yardstick: pd.DataFrame, family: str) -> list[dict[str, Any]]:
    rows = []
    for mark in yardstick.to_dict("records"):
        if mark["family"] == family:
            cells = [f"{mark['regret']:.2f}", f"{mark['close_pct']:.0f} %"] * len(SHOTS) + ["–"]
            rows.append({"method": RIGHT_GRIND, "tasks": mark["tasks"], "cells": cells})
    return rows


def _oracle(oracle: pd.DataFrame, family: str) -> list[dict[str, Any]]:
    by_shots = _by_shots(oracle[oracle["family"] == family])
    if not by_shots:
        return []
    cells = []
    for count in SHOTS:
        row = by_shots.get(count)
        cells += [f"{row['regret']:.2f} (± {row['error']:.2f})", f"{row['close_pct']:.0f} %"] if row else ["–", "–"]
    return [{"method": ORACLE, "tasks": max(row["tasks"] for row in by_shots.values()), "cells": [*cells, "–"]}]


def _parts(earned: pd.DataFrame) -> list[tuple[str, list[dict[str, Any]]]]:
    return [
        (TITLES[str(group)], [_part(str(method), rows) for method, rows in part.groupby("method", sort=False)])
        for group, part in earned.groupby("group", sort=False)
    ]


def _part(method: str, rows: pd.DataFrame) -> dict[str, Any]:
    by_shots = _by_shots(rows)
    asked = [*((count, "gap", 2) for count in PART_SHOTS), (6, "close_gap", 0)]
    return {
        "words": ABLATED[method].words,
        "tasks": int(rows["tasks"].max()),
        "gaps": [
            {"words": _gap(by_shots.get(count), name, digits), "sure": _leaves_0_out(by_shots.get(count), name)}
            for count, name, digits in asked
        ],
        "held": [_percent(by_shots.get(8, {}).get(name)) for name in ("in90", "whole_in90")],
    }


def _by_shots(rows: pd.DataFrame) -> dict[int, dict[str, Any]]:
    return {int(row["shots"]): {str(name): cell for name, cell in row.items()} for row in rows.to_dict("records")}


def _interval(row: Mapping[str, Any], name: str) -> str:
    return f"{row[name]:.2f} ({row[f'{name}_low']:.2f}–{row[f'{name}_high']:.2f})"


def _gap(row: Mapping[str, Any] | None, name: str, digits: int) -> str:
    if row is None or pd.isna(row.get(name)):
        return "–"
    ends = (name, f"{name}_low", f"{name}_high")
    gap, low, high = (f"{round(row[key], digits) + 0.0:+.{digits}f}" for key in ends)  # adding 0 makes −0 a plain 0
    return f"{gap} ({low} to {high})".replace("-", "−")


def _leaves_0_out(row: Mapping[str, Any] | None, name: str) -> bool:
    return row is not None and bool(row[f"{name}_low"] > 0 or row[f"{name}_high"] < 0)


def _percent(share: float | None) -> str:
    return "–" if share is None or pd.isna(share) else f"{100 * share:.0f} %"


def _honesty(row: pd.Series[Any]) -> list[str]:
    names = ("in50", "in90", "predicted50", "predicted80", "predicted90", "prob_near_optimal")
    return [
        row["family"],
        str(int(row["shots"])),
        *(_percent(row[name]) for name in names),
        f"{row['close_pct']:.0f} %",
    ]


def _stop(row: pd.Series[Any]) -> list[str]:
    by_shot = "later than all" if pd.isna(row["by_shot"]) else f"{row['by_shot']:.0f}"
    said = [f"{row[name]:.0f} %" if pd.notna(row.get(name)) else "–" for name in ("off_pct", "stated_pct")]
    whose = row["family"] if row["method"] == "dialopt" else f"{row['family']} {row['method']}"
    return [whose, f"{row['settled_pct']:.0f} %", by_shot, *said]


def main(arguments: Sequence[str] | None = None) -> int:
    """Writes the page."""
    parser = argparse.ArgumentParser(prog="python -m experiments.page", description="Writes a study's page.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    options = parser.parse_args(arguments)
    options.out.write_text(compose(options.folder), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
