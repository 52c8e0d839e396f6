"""The study's figures that a report repeats, against the study's own rows."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from dialopt.text import trust as study

pd = pytest.importorskip("pandas")  # serves the experiments only

from experiments.plan import FAMILY_GROUPS  # noqa: E402 - after what it needs is known to be there

ROOT = Path(__file__).parent.parent.parent


@pytest.fixture(scope="module")
def rows() -> pd.DataFrame:
    with gzip.open(ROOT / "reports" / "study" / "results.csv.gz") as file:
        results = pd.read_csv(file)
    kinds = [*FAMILY_GROUPS["development"], *FAMILY_GROUPS["held_out"]]
    return results[(results["method"] == "dialopt") & results["family"].isin(kinds)]


def test_the_figures_are_those_of_the_study(rows: pd.DataFrame) -> None:
    assert rows["family"].nunique() == study.KINDS
    assert len(rows[["family", "task"]].drop_duplicates()) == study.BAGS
    assert round(100 * rows["predicted90"].astype(float).mean()) == study.WITHIN_90_PCT
    tenths = (rows["prob_near_optimal"] * 10).astype(int).clip(upper=9)
    close = rows["close"].astype(float).groupby(tenths).mean()
    assert tuple(round(100 * close[tenth]) for tenth in range(10)) == study.CLOSE_PCT


def test_the_page_that_is_named_is_there() -> None:
    assert (ROOT / study.STUDY_PAGE).is_file()


def test_the_sentence_holds_the_chance(rows: pd.DataFrame) -> None:
    said = f"at 90 to 100 %, as it is here, the recipe was close in {study.CLOSE_PCT[-1]} %"
    assert said in study.study_sentence(1.0)
    assert "at 0 to 10 %" in study.study_sentence(0.0)
