"""The figures on simulated bags that README and reports/README.md state, against the committed rows."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pandas as pd
import pytest

from experiments.plan import FAMILY_GROUPS

ROOT = Path(__file__).parent.parent.parent
PAGES = [ROOT / "README.md", ROOT / "reports" / "README.md"]
TEXT = " ".join(word for page in PAGES for word in page.read_text(encoding="utf-8").split())
ROWS = {
    "dialopt, six kinds": ("dialopt", "development"),
    "rule of thumb (one thing": ("rule_of_thumb", "development"),
    "scikit-optimize as it comes": ("skopt_default", "development"),
    "Optuna (TPE)": ("optuna_tpe", "development"),
    "BoTorch": ("botorch", "development"),
    "dialopt, eight kinds": ("dialopt", "held_out"),
    "rule of thumb, the same": ("rule_of_thumb", "held_out"),
}


def stated(pattern: str) -> list[str]:
    """The figures in a sentence of either page."""
    found = re.search(pattern, TEXT)
    assert found is not None, pattern
    return list(found.groups())


@pytest.fixture(scope="module")
def results() -> pd.DataFrame:
    return pd.read_csv(ROOT / "reports" / "study" / "results.csv.gz", low_memory=False)


def of(results: pd.DataFrame, method: str, group: str) -> pd.DataFrame:
    kept = results["family"].isin(FAMILY_GROUPS[group]) & (results["method"] == method)
    return results[kept].set_index("shots")


@pytest.mark.parametrize("words", ROWS)
def test_the_table(results: pd.DataFrame, words: str) -> None:
    told = stated(rf"\| {re.escape(words)}[^|]*\| ([\d.]+) \| (\d+) % \| ([\d.]+) \| (\d+) % \|")
    rows = of(results, *ROWS[words])
    for shots, regret, close in ((6, *told[:2]), (10, *told[2:])):
        assert f"{rows.loc[shots, 'regret'].mean():.2f}" == regret
        assert abs(100 * rows.loc[shots, "close"].mean() - int(close)) <= 0.5001


def test_the_recipe_of_the_present_engine(results: pd.DataFrame) -> None:
    told = stated(
        r"lost ([\d.]+) instead of ([\d.]+) after three shots on a hundred of the same bags \(five kinds\), "
        r"but ([\d.]+) instead of ([\d.]+) after six and ([\d.]+) instead of ([\d.]+) after ten",
    )
    now = pd.read_csv(ROOT / "reports" / "recipe" / "results.csv.gz")
    both = now.merge(results[results["method"] == "dialopt"], on=["family", "task", "shots"], suffixes=("", "_before"))
    means = both.groupby("shots")[["regret", "regret_before"]].mean()
    assert both["shots"].value_counts()[6] == 100
    found = [f"{means.loc[shots, column]:.2f}" for shots in (3, 6, 10) for column in ("regret", "regret_before")]
    assert found == told


def test_a_ridge_and_its_yardstick(results: pd.DataFrame) -> None:
    told = stated(
        r"a ridge, the loss after six shots is ([\d.]+), with (\d+) % close, and after ten ([\d.]+), with (\d+) % "
        r"\(rule of thumb: ([\d.]+) and (\d+) %, ([\d.]+) and (\d+) %\)",
    )
    right_grind = stated(r"in the middle would lose ([\d.]+);")
    found = []
    for method in ("dialopt", "rule_of_thumb"):
        rows = of(results, method, "development")
        rows = rows[rows["family"] == "ridge"]
        for shots in (6, 10):
            found += [f"{rows.loc[shots, 'regret'].mean():.2f}", f"{100 * rows.loc[shots, 'close'].mean():.0f}"]
    assert found == told
    yardstick = pd.read_csv(ROOT / "reports" / "study" / "yardstick.csv").set_index("family")
    assert f"{yardstick.loc['ridge', 'regret']:.2f}" == right_grind[0]


def test_who_knows_how_the_bags_are_drawn() -> None:
    said = stated(
        r"drawn would lose ([\d.]+) after six shots, on fifty of them, and ([\d.]+) on fifty that fall off a cliff, "
        r"where dialopt loses ([\d.]+) and ([\d.]+)\.",
    )
    losses = pd.read_csv(ROOT / "reports" / "study" / "insider.csv").set_index(["family", "method", "shots"])
    rows = [losses.loc[(family, "(insider)", 6)] for family in ("ridge", "cliff")]
    assert [row["tasks"] for row in rows] == [50, 50]
    told = [row["regret"] for row in rows] + [row["regret"] - row["against"] for row in rows]
    assert [f"{regret:.2f}" for regret in told] == said


def test_a_surface_that_knows_no_trade() -> None:
    said = stated(r"would still lose ([\d.]+) after six shots, with (\d+) % close")
    told = pd.read_csv(ROOT / "reports" / "study" / "oracle.csv").set_index(["family", "shots"])
    row = told.loc[("random_surface", 6)]
    assert [f"{row['regret']:.2f}", f"{row['close_pct']:.0f}"] == said


def test_how_sure_it_is(results: pd.DataFrame) -> None:
    told = stated(r"60–70 %, 70–80 % or 80–90 %, it was close in (\d+), (\d+) and (\d+) % of cases")
    predicted = stated(r"prediction intervals at 50, 80 and 90 % in (\d+), (\d+) and (\d+) % of pulls")
    regions = stated(
        r"region of the best setting held it in (\d+), (\d+) and (\d+) % of bags of the first six kinds "
        r"and in (\d+), (\d+) and (\d+) % of the other eight",
    )
    rows = pd.concat([of(results, "dialopt", group) for group in ("development", "held_out")])
    tenths = (rows["prob_near_optimal"] * 10).astype(int)
    shares = 100 * rows["close"].astype(float).groupby(tenths).mean()
    assert [f"{shares[tenth]:.0f}" for tenth in (6, 7, 8)] == told
    means = [100 * rows[f"predicted{level}"].astype(float).mean() for level in (50, 80, 90)]
    assert [f"{mean:.0f}" for mean in means] == predicted
    held = [
        100 * of(results, "dialopt", group).loc[shots, "in90"].astype(float).mean()
        for group in ("development", "held_out")
        for shots in (4, 8, 12)
    ]
    assert [f"{share:.0f}" for share in held] == regions


DRUNK = ROOT / "reports" / "drunk" / "drunk.csv"


def test_what_is_drunk() -> None:
    table = pd.read_csv(DRUNK)
    rule = table[table["method"].str.startswith("rule_of_thumb")].groupby(["family", "cups"])["lost"].min()
    own = table[table["method"] == "dialopt"].set_index(["family", "cups"])
    found = 0
    for words, group in (("five kinds", "development"), ("eight kinds kept back", "held_out")):
        for method, means in (("dialopt", own["lost"]), ("the rule of thumb", rule)):
            told = stated(rf"\| {method}, {words}[^|]*\| ([\d.–]+) \| ([\d.–]+) \| ([\d.–]+) \|")
            assert told is not None, (method, words)
            for cups, said in zip((6, 13, 55), told, strict=True):
                here = means[means.index.isin([(family, cups) for family in FAMILY_GROUPS[group]])]
                if said == "–":
                    assert here.empty
                else:
                    found += 1
                    assert f"{here.mean():.2f}" == said, (method, words, cups)
    assert found >= 8


def test_the_code_that_the_rows_are_of() -> None:
    drunk = stated(r"The rows of dialopt in `drunk/` are of code `(\w+)` for the five kinds and of `(\w+)`")
    study = stated(r"Those in `study/`, with the ablations, are of code `(\w+)`")
    about = json.loads(DRUNK.with_name("about.json").read_text("utf-8"))
    assert about["codes"]["dialopt"] == f"{drunk[1]} and {drunk[0]}"
    codes = json.loads((ROOT / "reports" / "study" / "about.json").read_text("utf-8"))["codes"]
    own = {code for method, code in codes.items() if method.startswith(("dialopt", "ablated"))}
    assert own == {study[0]}


def test_dialopt_is_no_worse_than_the_rule_of_thumb_on_any_kind() -> None:
    table = pd.read_csv(DRUNK).set_index("method")
    own = table.loc["dialopt"]
    assert (own["against"] < 0).all()
    assert (own["tasks"] >= 24).all()


def test_second_bags(results: pd.DataFrame) -> None:
    new_bag = stated(
        r"loss before any shot ([\d.]+) instead of ([\d.]+), after one ([\d.]+) instead of ([\d.]+); after three "
        r"less of that is left, ([\d.]+) instead of ([\d.]+) ",
    )
    burrs = stated(r"(\d+) % of bags are close after three shots \((\d+) % without the history\)")
    contradicting = stated(
        r"costs something at first: ([\d.]+) instead of ([\d.]+) after one shot, ([\d.]+) instead of ([\d.]+) after "
        r"two, "
        r"([\d.]+) instead of ([\d.]+) after three",
    )
    means = results.groupby(["family", "shots", "method"])[["regret", "close"]].mean()

    def told(family: str, column: str, *after: int) -> list[float]:
        return [means.loc[(family, n, method), column] for n in after for method in ("dialopt", "dialopt_cold")]

    assert [f"{regret:.2f}" for regret in told("carry_new_bag", "regret", 0, 1, 3)] == new_bag
    assert [f"{100 * share:.0f}" for share in told("carry_new_burrs", "close", 3)] == burrs
    assert [f"{regret:.2f}" for regret in told("carry_contradicting", "regret", 1, 2, 3)] == contradicting


def test_the_cups_of_a_bag_and_the_insider() -> None:
    cups = stated(r"13-cup bag (\d+) % .*?\(rule of thumb: (\d+) %\), .*? loses ([\d.]+) points a cup \(([\d.]+)\)")
    insider = stated(
        r"would lose ([\d.]+) over 13 cups on twenty ridges and ([\d.]+) on twenty that fall off a cliff, "
        r"where dialopt loses ([\d.]+) and (\d\.\d+)",
    )
    table = pd.read_csv(DRUNK)
    table = table[(table["cups"] == 13) & table["family"].isin(FAMILY_GROUPS["development"])]
    rules = table[table["method"].str.startswith("rule_of_thumb")]
    sides = table[table["method"] == "dialopt"], rules.loc[rules.groupby("family")["lost"].idxmin()]
    found = [f"{side['half_pct'].mean():.0f}" for side in sides] + [
        f"{side['worst_tenth'].mean():.1f}" for side in sides
    ]
    assert found == cups
    rows = pd.read_csv(DRUNK.with_name("rows.csv.gz"), low_memory=False)
    rows = rows[(rows["cups"] == 13) & (rows["task"] < 20)]
    means = rows.groupby(["method", "family"])["regret"].mean()
    losses = [means.loc[(method, family)] for method in ("(insider)", "dialopt") for family in ("ridge", "cliff")]
    assert [f"{regret:.2f}" for regret in losses] == insider


def test_real_people() -> None:
    table = pd.read_csv(ROOT / "reports" / "people" / "coverage.csv").set_index("stated")
    told = stated(r"stated at 50, 80 and 90 % held the next score in (\d+), (\d+) and (\d+) % of cases")
    assert [round(100 * table.loc[level, "held"]) for level in (0.5, 0.8, 0.9)] == [int(share) for share in told]
    spans = stated(
        r"held (\d+) % \(95 % interval (\d+) to (\d+)\), (\d+) % \((\d+) to (\d+)\) and (\d+) % \((\d+) to (\d+)\)"
    )
    rows = table[["held", "held_low", "held_high"]].to_numpy().ravel()
    assert [round(100 * share) for share in rows] == [int(share) for share in spans]
    assert table["people"].eq(59).all()
    (noise,) = stated(r"Their noise is taken to be ([\d.]+) of ten points")
    assert round(pd.read_csv(ROOT / "reports" / "people" / "rows.csv")["noise"].mean(), 1) == float(noise)
