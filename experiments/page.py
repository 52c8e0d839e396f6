"""One HTML page of a study's summary: how far off each method is, and how honest dialopt is about itself.

python -m experiments.page STUDY_FOLDER --out reports/study.html
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import jinja2
import pandas as pd

SHOTS = (3, 6, 10, 12)
HONESTY_SHOTS = (4, 8, 12)

PAGE = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>dialopt measured on simulated bags</title>
<style>
:root { color-scheme: light dark }
body { font: 1rem/1.5 system-ui, sans-serif; max-width: 75rem; margin: 0 auto; padding: 1rem }
.wide { overflow-x: auto }
table { border-collapse: collapse; margin: .5rem 0 1.5rem; font-variant-numeric: tabular-nums }
th, td { padding: .2rem .6rem; text-align: right; white-space: nowrap; border-bottom: 1px solid #8886 }
th:first-child, td:first-child, th:nth-child(2), td:nth-child(2) { text-align: left }
tr.own td { font-weight: 600 }
</style></head><body>
<h1>dialopt measured on simulated bags</h1>
<p>Version {{ about.dialopt }}, seed {{ about.seed }}, {{ about.shots }} shots a bag. Nothing here is evidence about
real coffee: the bags are simulated. Loss is the true liking, in points of ten, given away by the recipe that a method
would recommend after so many shots; close means at most half a point. Intervals are 95 % bootstrap intervals over bags.
The luck of each shot is the same for every method. Priors and thresholds were chosen with the development families in
sight, on other bags; the held-out families were not used for choosing anything.</p>
{% for title, families in groups %}
<h2>{{ title }}</h2><div class="wide"><table>
<tr><th>family</th><th>method</th><th>bags</th>
{% for n in shots %}<th>loss after {{ n }}</th><th>close after {{ n }}</th>{% endfor %}</tr>
{% for row in families %}<tr{% if row.method == "dialopt" %} class="own"{% endif %}><td>{{ row.family }}</td>
<td>{{ row.method }}</td><td>{{ row.tasks }}</td>{% for cell in row.cells %}<td>{{ cell }}</td>{% endfor %}</tr>
{% endfor %}</table></div>{% endfor %}
<h2>Is it as sure as it should be?</h2>
<p>How often the 50 and 90 % regions held the true best setting, how often the next score fell within what had been
foretold at 50, 80 and 90 %, and how often dialopt said it was close beside how often it was.</p>
<div class="wide"><table><tr><th>family</th><th>shots</th><th>50 % region</th><th>90 % region</th><th>foretold 50 %</th>
<th>foretold 80 %</th><th>foretold 90 %</th><th>close, said</th><th>close, true</th></tr>
{% for row in honesty %}<tr>{% for cell in row %}<td>{{ cell }}</td>{% endfor %}</tr>{% endfor %}</table></div>
<h2>When it says stop</h2>
<div class="wide"><table><tr><th>family</th><th>settled</th><th>by shot (median)</th><th>more than ½ point off</th>
<th>close, said</th></tr>
{% for row in stops %}<tr>{% for cell in row %}<td>{{ cell }}</td>{% endfor %}</tr>{% endfor %}</table></div>
</body></html>
"""


def compose(folder: Path) -> str:
    """The page of one study's folder."""
    summary = pd.read_csv(folder / "summary.csv")
    stopping = pd.read_csv(folder / "stopping.csv")
    about = json.loads((folder / "study.json").read_text(encoding="utf-8"))
    own = summary[summary["method"] == "dialopt"]
    template = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined).from_string(PAGE)
    return template.render(
        about=about,
        groups=_groups(summary),
        shots=SHOTS,
        honesty=[_honesty(row) for _, row in own[own["shots"].isin(HONESTY_SHOTS)].iterrows()],
        stops=[_stop(row) for _, row in stopping[stopping["method"] == "dialopt"].iterrows()],
    )


def _groups(summary: pd.DataFrame) -> list[tuple[str, list[dict[str, Any]]]]:
    from experiments.worlds import DEVELOPMENT, HELD_OUT

    named = {"Development families": set(DEVELOPMENT), "Held-out families": set(HELD_OUT)}
    groups = [(title, summary[summary["family"].isin(families)]) for title, families in named.items()]
    groups.append(("Second bags, with the first as history", summary[summary["family"].str.startswith("carry_")]))
    return [(title, _rows(part)) for title, part in groups if len(part)]


def _rows(part: pd.DataFrame) -> list[dict[str, Any]]:
    rows = []
    for (family, method), group in part.groupby(["family", "method"], sort=False):
        by_shots = group.set_index("shots")
        cells = []
        for count in SHOTS:
            row = by_shots.loc[count]
            cells.append(f"{row['loss']:.2f} ({row['loss_low']:.2f}–{row['loss_high']:.2f})")
            cells.append(f"{row['close_pct']:.0f} %")
        rows.append({"family": family, "method": method, "tasks": int(group["tasks"].max()), "cells": cells})
    return rows


def _honesty(row: pd.Series[Any]) -> list[str]:
    names = ("in50", "in90", "foretold50", "foretold80", "foretold90", "chance_close")
    shares = [f"{100 * row[name]:.0f} %" if pd.notna(row[name]) else "–" for name in names]
    return [str(row["family"]), str(int(row["shots"])), *shares, f"{row['close_pct']:.0f} %"]


def _stop(row: pd.Series[Any]) -> list[str]:
    by_shot = "later than all" if pd.isna(row["by_shot"]) else f"{row['by_shot']:.0f}"
    said = [f"{row[name]:.0f} %" if pd.notna(row[name]) else "–" for name in ("off_pct", "stated_pct")]
    return [str(row["family"]), f"{row['settled_pct']:.0f} %", by_shot, *said]


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
