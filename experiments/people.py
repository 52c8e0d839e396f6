"""Real people's scores, and how often the stated intervals hold the next one.

    python -m experiments.people --first 60 --last 118 --out reports/people

118 people each tasted 27 drip coffees of three temperatures, strengths and extractions (Cotter, Ristenpart & Guinard,
Dryad 10.25338/B8993H, CC0, by way of the package turflp 0.5.0; `people.csv`: a person a line, columns °C, strength %
and extraction %). Extraction stands for the grind, strength for the ratio; liking from 1 to 9 is spread over 0 to 10.
Nothing but scores was noted. Each person's cups are read in a random order, and before some of them the score is
predicted. People 1 to 59 may be used for choosing priors, 60 to 118 for reporting only.
"""

from __future__ import annotations

import argparse
import csv
import json
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot, advise
from experiments.fingerprint import CODE
from experiments.tables import interval
from experiments.trial import Row
from experiments.workers import run_here, with_progress

DATA = Path(__file__).with_name("people.csv")
LEVELS = (0.5, 0.8, 0.9)
FEWEST, EVERY = 6, 5
"""The first score that is predicted follows on so many cups; then every fifth is."""
PAIRING = Pairing(
    bean=Bean(name="open data"),
    grinder=Grinder(name="extraction, %", grind=Dial(16, 24, 4), finer="up"),
    machine=Machine(name="brewer", temp_c=Dial(87, 93, 3)),
    basket=Basket(dose_g=Dial(18, 18)),
    ratio=Dial(1.6, 2.6, 0.1),
)
_USUAL_STRENGTH_PCT = 1.25


def cups_of(person: int, seed: int) -> list[Shot]:
    """The 27 cups of a person, counted from 1, in a random order."""
    with DATA.open(encoding="utf-8", newline="") as file:
        header, *people = csv.reader(file)
    cups = []
    for number in np.random.default_rng([seed, person]).permutation(len(header)):
        temp_c, strength_pct, extraction_pct = map(float, header[number].split("-"))
        recipe = Recipe(
            grind=extraction_pct, dose_g=18, temp_c=temp_c, ratio=round(2 * _USUAL_STRENGTH_PCT / strength_pct, 2)
        )
        cups.append(Shot(recipe=recipe, score=(float(people[person - 1][number]) - 1) * 10 / 8))
    return cups


def replay(family: str, method: str, person: int, *, shots: int, seed: int) -> list[Row]:
    """A row for each score that was predicted. family, method, shots: unused, for `run_here`."""
    cups, rows = cups_of(person, seed), []
    for known in range(FEWEST, len(cups), EVERY):
        advice = advise(PAIRING, cups[:known], seed=seed)
        cup, noted, noise = cups[known], cups[known].score or 0.0, advice.palate.noise.mean if advice.palate else np.nan
        row: Row = {"person": person, "known": known, "noise": round(noise, 4)}
        for level in LEVELS:
            score = advice.predict_outcome(cup.recipe, level).score
            row[f"held_{100 * level:.0f}"] = score.low - 1e-9 <= noted <= score.high + 1e-9
        rows.append(row)
    return rows


def coverage(rows: pd.DataFrame, seed: int) -> pd.DataFrame:
    """A row for each level: share of scores that its interval held, with the 95 % bootstrap interval over people."""
    table = []
    for level in LEVELS:
        held = rows.groupby("person")[f"held_{100 * level:.0f}"].mean().to_numpy(float)
        row = {"stated": level, **interval("held", [held], np.random.default_rng(seed)), "people": len(held)}
        table.append(row)
    return pd.DataFrame(table).round(4)


def main(arguments: Sequence[str] | None = None) -> int:
    """Writes rows.csv, coverage.csv and about.json into the folder."""
    parser = argparse.ArgumentParser(
        prog="python -m experiments.people", description="Real people's scores, predicted."
    )
    parser.add_argument("--first", type=int, default=1, help="first person")
    parser.add_argument("--last", type=int, default=59, help="last person")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1, help="processes")
    parser.add_argument("--out", type=Path, default=Path("people"), help="the folder to write into")
    options = parser.parse_args(arguments)
    trials = [("people", "dialopt", person) for person in range(options.first, options.last + 1)]
    found = run_here(trials, shots=0, seed=options.seed, jobs=options.jobs, trial=replay)
    rows = pd.DataFrame([row for rows in with_progress(found, len(trials)) for row in rows])
    table = coverage(rows, options.seed)
    options.out.mkdir(parents=True, exist_ok=True)
    rows.to_csv(options.out / "rows.csv", index=False)
    table.to_csv(options.out / "coverage.csv", index=False)
    (options.out / "about.json").write_text(json.dumps({"seed": options.seed, "code": CODE}) + "\n", encoding="utf-8")
    print(table.to_string(index=False))
    return 0


if __name__ == "__main__":
    from experiments.people import main as run  # so that other processes find by its module what they are sent

    raise SystemExit(run())
