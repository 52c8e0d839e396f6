"""One HTML page of a study: how far off each method is, what each part of dialopt earns, how honest it is about itself.

python -m experiments.page STUDY_FOLDER --out reports/study.html
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd

from experiments.journal import about
from experiments.methods import ABLATED, PREFIX
from experiments.plan import FAMILY_GROUPS
from experiments.reporting import page_of

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
    "wide": "Families wider than a ridge at one ratio",
    "carry": "Second bags, with the first as history",
}


def compose(folder: Path) -> str:
    """The page of one study's folder."""
    told = about(folder)
    summary, yardstick = _table(folder, "summary.csv"), _table(folder, "yardstick.csv")
    stopping, earned = _table(folder, "stopping.csv"), _table(folder, "earned.csv")
    oracle, insiders = _table(folder, ORACLE_TABLE), _table(folder, INSIDER_LOSSES)
    # Kept rows may be of parts that are gone by now.
    whole = pd.concat([summary[~summary["method"].str.startswith(PREFIX)], insiders], ignore_index=True)
    own = summary[(summary["method"] == "dialopt") & summary["shots"].isin(HONESTY_SHOTS)]
    stops = [*_records(stopping, method=["dialopt"]), *_records(_table(folder, INSIDER_STOPS))]
    return page_of(
        "study.html",
        about=told,
        packages=_listed(told["packages"]),
        others=_listed({method: code for method, code in told.get("codes", {}).items() if code != told["code"]}),
        fewer=_fewer(whole),
        groups=_groups(whole, yardstick, oracle),
        right_grind=RIGHT_GRIND,
        oracle=ORACLE if len(oracle) else None,
        shots=SHOTS,
        parts=_parts(pd.DataFrame(_records(earned, method=ABLATED))),
        part_shots=PART_SHOTS,
        honesty=[_honesty(row) for row in _records(own)],
        insiders=bool(len(insiders)),
        stops=[_stop(row) for row in stops],
    )


def _table(folder: Path, name: str) -> pd.DataFrame:
    """A table of the folder, empty where there is none."""
    return pd.read_csv(folder / name) if (folder / name).exists() else pd.DataFrame()


def _records(table: pd.DataFrame, **among: Collection[str]) -> list[dict[str, Any]]:
    """The rows whose columns are among such values."""
    rows = [{str(name): cell for name, cell in row.items()} for row in table.to_dict("records")]
    return [row for row in rows if all(row[name] in values for name, values in among.items())]


def _listed(words: Mapping[str, str]) -> str:
    return ", ".join(f"{name} ({of})" for name, of in words.items())


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
        by_shots = _by_shots(_records(group))
        cells = _cells(by_shots, lambda row: f"{row['regret']:.2f} ({row['regret_low']:.2f}–{row['regret_high']:.2f})")
        cells.append(_gap(by_shots.get(6), "against", 2))
        rows.append({"method": method, "tasks": int(group["tasks"].max()), "cells": cells})
    return rows


def _cells(by_shots: Mapping[int, Mapping[str, Any]], loss: Callable[[Mapping[str, Any]], str]) -> list[str]:
    """Loss and share close after each number of shots shown."""
    cells = []
    for row in map(by_shots.get, SHOTS):
        cells += [loss(row), f"{row['close_pct']:.0f} %"] if row else ["–", "–"]
    return cells


def _right_grind(yardstick: pd.DataFrame, family: str) -> list[dict[str, Any]]:
    return [
        {"method": RIGHT_GRIND, "tasks": row["tasks"], "cells": [*_cells(dict.fromkeys(SHOTS, row), _loss), "–"]}
        for row in _records(yardstick, family=[family])
    ]


def _loss(row: Mapping[str, Any]) -> str:
    return f"{row['regret']:.2f}"


def _oracle(oracle: pd.DataFrame, family: str) -> list[dict[str, Any]]:
    rows = _records(oracle, family=[family])
    cells = _cells(_by_shots(rows), lambda row: f"{_loss(row)} (± {row['error']:.2f})")
    return [{"method": ORACLE, "tasks": max(row["tasks"] for row in rows), "cells": [*cells, "–"]}] if rows else []


def _parts(earned: pd.DataFrame) -> list[tuple[str, list[dict[str, Any]]]]:
    return [
        (TITLES[str(group)], [_part(str(method), rows) for method, rows in part.groupby("method", sort=False)])
        for group, part in (earned.groupby("group", sort=False) if len(earned) else ())
    ]


def _part(method: str, rows: pd.DataFrame) -> dict[str, Any]:
    by_shots = _by_shots(_records(rows))
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


def _by_shots(rows: Sequence[dict[str, Any]]) -> dict[int, dict[str, Any]]:
    return {int(row["shots"]): row for row in rows}


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


def _honesty(row: Mapping[str, Any]) -> list[str]:
    names = ("in50", "in90", "predicted50", "predicted80", "predicted90", "prob_near_optimal")
    return [
        row["family"],
        str(int(row["shots"])),
        *(_percent(row[name]) for name in names),
        f"{row['close_pct']:.0f} %",
    ]


def _stop(row: Mapping[str, Any]) -> list[str]:
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
