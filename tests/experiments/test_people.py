from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pandas as pd
import pytest

from dialopt import Recipe, Shot
from experiments import people
from experiments.people import DATA, LEVELS, PAIRING, coverage, cups_of, main, replay


def test_a_persons_cups_are_those_of_the_data_in_an_order_of_their_own() -> None:
    with DATA.open(encoding="utf-8", newline="") as file:
        header, first, *_ = csv.reader(file)
    cups = cups_of(1, seed=3)
    scores = {(cup.recipe.temp_c, cup.recipe.ratio, cup.recipe.grind): cup.score for cup in cups}
    assert len(scores) == len(cups) == len(header) == 27
    for name, noted in zip(header, first, strict=True):
        temp_c, strength_pct, extraction_pct = map(float, name.split("-"))
        ratio = {1.0: 2.5, 1.25: 2.0, 1.5: 1.67}[strength_pct]  # the weaker, the longer
        assert scores[temp_c, ratio, extraction_pct] == {n: 1.25 * (n - 1) for n in range(1, 10)}[int(noted)]
    assert all(PAIRING.off_dial(cup.recipe) == [] for cup in cups if cup.recipe.ratio != 1.67)
    assert cups_of(1, seed=3) == cups
    assert cups_of(1, seed=4) != cups
    assert [cup.score for cup in cups_of(2, seed=3)] != [cup.score for cup in cups]


def test_the_next_score_of_a_person_is_predicted(monkeypatch: pytest.MonkeyPatch) -> None:
    """dialopt itself, before the last cup alone."""
    monkeypatch.setattr(people, "FEWEST", 26)
    [row] = replay("people", "dialopt", 1, shots=0, seed=3)
    assert (row["person"], row["known"]) == (1, 26)
    assert 0.1 < row["noise"] < 5
    held = [row[f"held_{100 * level:.0f}"] for level in LEVELS]
    assert held == sorted(held), "a wider interval holds what a narrower one does"


def stub(monkeypatch: pytest.MonkeyPatch, cups: Sequence[Shot]) -> list[int]:
    """Puts in dialopt's place one whose 80 % interval is the very score, the 50 % one below it; what it has read."""
    read: list[int] = []

    def advise(pairing: object, shots: Sequence[Shot], *, seed: int) -> Any:
        assert list(shots) == list(cups[: len(shots)])
        read.append(len(shots))

        def predict(recipe: Recipe, level: float) -> Any:
            asked = cups[len(shots)]
            assert recipe == asked.recipe
            assert asked.score is not None
            low, high = {0.5: (-2.0, -1.0), 0.8: (asked.score, asked.score), 0.9: (0.0, 10.0)}[level]
            return SimpleNamespace(score=SimpleNamespace(low=low, high=high))

        return SimpleNamespace(palate=None, predict_outcome=predict)

    monkeypatch.setattr(people, "advise", advise)
    return read


def test_only_earlier_cups_are_read_before_a_score_is_predicted(monkeypatch: pytest.MonkeyPatch) -> None:
    read = stub(monkeypatch, cups_of(5, seed=3))
    rows = replay("people", "dialopt", 5, shots=0, seed=3)
    assert read == [row["known"] for row in rows] == [6, 11, 16, 21, 26]
    assert {(row["held_50"], row["held_80"], row["held_90"]) for row in rows} == {(False, True, True)}


def test_a_share_is_the_mean_over_people_however_often_each_was_asked() -> None:
    held = {1: [True, True, True, True], 2: [False, True]}
    rows = pd.DataFrame(
        [
            {"person": person, "held_50": one, "held_80": True, "held_90": not one}
            for person, each in held.items()
            for one in each
        ]
    )
    table = coverage(rows, seed=1)
    assert list(table["stated"]) == list(LEVELS)
    assert list(table["held"]) == [0.75, 1.0, 0.25]
    assert list(table["people"]) == [2, 2, 2]
    assert list(table["held_low"]) == [0.5, 1.0, 0.0]
    assert list(table["held_high"]) == [1.0, 1.0, 0.5]


def test_the_tables_are_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stub(monkeypatch, cups_of(7, seed=2))
    out = tmp_path / "people"
    assert main(["--first", "7", "--last", "7", "--seed", "2", "--out", str(out)]) == 0
    assert list(pd.read_csv(out / "coverage.csv")["held"]) == [0.0, 1.0, 1.0]
    assert list(pd.read_csv(out / "rows.csv")["person"]) == [7] * 5
    assert json.loads((out / "about.json").read_text(encoding="utf-8"))["seed"] == 2
