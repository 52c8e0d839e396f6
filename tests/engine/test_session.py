from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import numpy as np
import pandas as pd
import pytest

from dialopt import Logbook, Pairing, Recipe, Session, Shot, advise
from dialopt.errors import BadValue
from tests.engine.outcomes import FEW


@pytest.fixture
def noted(shots: list[Shot]) -> list[Shot]:
    """Shots of which each leaves something out."""
    first, second = shots[:2]
    return [
        replace(first, pulled_at=datetime(2026, 3, 1, 8, 30), note="in a hurry", tds_pct=9.1),
        replace(second, score=None, fault="channelled"),
        Shot(recipe=second.recipe),
    ]


def test_the_same_shots_give_the_same_advice(pairing: Pairing, shots: list[Shot]) -> None:
    session = Session(pairing, shots[:1], seed=3, counts="recipe", config=FEW)
    for shot in shots[1:3]:
        noted = {"yield_g": shot.yield_g, "time_s": shot.time_s, "score": shot.score, "balance": shot.balance}
        session.tell(shot.recipe, **noted)
    assert session.shots == tuple(shots[:3])
    assert session.advice == advise(pairing, shots[:3], seed=3, counts="recipe", config=FEW)
    assert session.ask() == session.advice.next_recipe
    assert session.advice != advise(pairing, shots[:2], seed=3, counts="recipe", config=FEW)


def test_a_frame_tells_the_same_shots(pairing: Pairing, noted: list[Shot]) -> None:
    frame = Session(pairing, noted).to_frame()
    assert list(frame["fault"].fillna("")) == ["", "channelled", ""]
    assert frame["score"].isna().tolist() == [noted[0].score is None, True, True]
    again = Session.from_frame(pairing, frame, seed=1)
    assert again.shots == tuple(noted)
    assert Session.from_frame(pairing, frame.convert_dtypes()).shots == tuple(noted)
    assert Session.from_frame(pairing, Session(pairing).to_frame()).shots == ()
    assert Session.from_frame(pairing, frame[["grind", "dose_g", "temp_c"]].assign(barista="A")).shots == tuple(
        Shot(recipe=shot.recipe) for shot in noted
    )


def test_what_a_frame_cannot_mean_is_named(pairing: Pairing, noted: list[Shot]) -> None:
    frame = Session(pairing, noted).to_frame()
    with pytest.raises(BadValue, match="grind, dose_g, temp_c"):
        Session.from_frame(pairing, frame.drop(columns="grind"))
    with pytest.raises(BadValue, match="score in row 2 can't be 11"):
        Session.from_frame(pairing, frame.assign(score=[7, 11, None]))
    with pytest.raises(BadValue, match="grind in row 3"):
        Session.from_frame(pairing, frame.assign(grind=[18, 17, None]))


def test_a_bad_shot_is_refused_and_changes_nothing(pairing: Pairing) -> None:
    session = Session(pairing)
    with pytest.raises(BadValue, match="score"):
        session.tell(Recipe(grind=18, dose_g=18, temp_c=93), score=12)
    with pytest.raises(BadValue, match="recipe"):
        session.tell((18, 18, 93), score=7)  # type: ignore[arg-type]
    assert session.shots == ()


def test_recipes_may_be_tuples_or_a_frame(pairing: Pairing, shots: list[Shot]) -> None:
    advice = advise(pairing, shots[:2], config=FEW)
    rows = [(16, 18, 93), (20.5, 17.2, 91)]
    recipes = [Recipe(grind=grind, dose_g=dose, temp_c=temp) for grind, dose, temp in rows]
    asked = advice.predict(recipes)
    for other in (rows, pd.DataFrame(rows, columns=["grind", "dose_g", "temp_c"])):
        assert np.array_equal(advice.predict(other).score_mean, asked.score_mean)
        assert np.array_equal(advice.predict(other).time_s, asked.time_s)
    with pytest.raises(BadValue, match="recipe 2"):
        advice.predict([rows[0], (1, 2)])


def test_equal_calls_are_equal(pairing: Pairing, shots: list[Shot]) -> None:
    one, same, other = (
        advise(pairing, log, seed=seed, config=FEW)
        for log, seed in ((shots[:2], 4), (tuple(shots[:2]), 4), (shots[:2], 5))
    )
    assert one == same != other


def test_the_logbook_is_public() -> None:
    assert Logbook.__module__ == "dialopt.logbook.book"
