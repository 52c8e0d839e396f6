from __future__ import annotations

import csv
import json

import pytest

HEADER = "grind,dose_g,temp_c,yield_g,time_s,score,balance,note,tds_pct\n"
ROWS = (
    "24,18,93,36,17,5,-2,thin,\n20,18,93,36,22,6.5,-1,,\n17,18,93,36,28,8,0,plum jam,9.1\n14,18,93,36,36,6,1,,\n"
    "17,18,93,36,29,7.5,0,,9.3\n"
)


@pytest.fixture
def dialled(bench, tmp_path):
    source = tmp_path / "in.csv"
    source.write_text(HEADER + ROWS, encoding="utf-8")
    assert bench("import", str(source)).status == 0
    return bench


@pytest.fixture
def elsewhere(tmp_path):
    return str(tmp_path / "another home")


def test_a_share_file_says_the_recipe_without_a_dial(dialled, tmp_path):
    out = tmp_path / "for-the-roaster.json"
    said = dialled("share", str(out))
    assert said.status == 0
    assert "the setting that runs in 25 s" in said.out
    told = json.loads(out.read_text(encoding="utf-8"))
    assert (told["format"], told["schema"]) == ("dialopt share", 1)
    recipe = told["recipe"]
    assert recipe["time_s"]["low"] < recipe["time_s"]["mean"] < recipe["time_s"]["high"]
    assert recipe["flow_g_s"] == pytest.approx(recipe["yield_g"] / recipe["time_s"]["mean"])
    assert recipe["yield_g"] == pytest.approx(recipe["dose_g"] * recipe["ratio"], abs=0.05)
    assert -3 <= recipe["steps_finer_than_mark"] <= 6
    assert "plum" not in out.read_text(encoding="utf-8")
    assert dialled("share", str(out)).status == 4
    assert dialled("share", str(out), "--replace", "--notes").status == 0
    assert "plum jam" in out.read_text(encoding="utf-8")


def test_a_table_holds_the_recipe_alone(dialled, tmp_path):
    out = tmp_path / "card.csv"
    assert dialled("share", str(out)).status == 0
    rows = {row["quantity"]: row for row in csv.DictReader(out.read_text(encoding="utf-8").splitlines())}
    assert list(rows) == ["dose", "cup", "ratio", "water", "time", "flow", "strength", "grind", "liking"]
    assert float(rows["time"]["low"]) < float(rows["time"]["value"]) < float(rows["time"]["high"])
    assert dialled("share", str(tmp_path / "card.xlsx")).status == 4


@pytest.mark.parametrize("kind", ["json", "html"])
def test_what_was_sent_is_a_head_start_elsewhere(dialled, elsewhere, tmp_path, kind):
    sent = tmp_path / f"sent.{kind}"
    assert dialled(*(("share", str(sent)) if kind == "json" else ("report", "--out", str(sent)))).status == 0
    there = ("--home", elsewhere)
    dialled("grinder", "kitchen mill", "--grind", "0:100:2", "--finer", "up", *there)
    dialled("machine", "lever", "--temp", "88:96:1", *there)
    dialled("basket", "deep", "--dose", "16.5:20:0.1", *there)
    dialled("bean", "harbour fog", "--roast", "medium", *there)
    dialled("pairing", *there)
    taken = dialled("receive", str(sent), "--from", "Ada", "--json", *there).json["data"]
    assert taken["shots"] == 5
    assert taken["title"] == "harbour fog on bench grinder of Ada"
    listed = dialled("pairings", "--json", *there).json["data"]
    assert listed["in_use"] != taken["pairing"]
    advised = dialled("next", "--json", *there).json["data"]
    assert "going by 1 earlier pairing" in advised["reason"]
    again = dialled("receive", str(sent), "--from", "Ada", *there)
    assert again.status == 4
    assert "already" in again.err
    beans = dialled("kit", "--json", *there).json["data"]["beans"]
    assert [bean["roast"] for bean in beans] == ["medium"]


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("a.json", "{", "isn't whole"),
        ("b.json", "[" * 100_000, "isn't whole"),
        ("c.json", "{}", "no share file"),
        ("d.json", '{"format": "dialopt share", "schema": 2}', "newer dialopt"),
        ("e.json", '{"format": "dialopt share", "schema": true}', "which schema"),
        ("f.json", '{"format": "dialopt share", "schema": 1, "case": 5}', "isn't told whole"),
        ("g.html", "<html></html>", "isn't whole"),
        ("h.json", "\x00\ufffe", "isn't whole"),
    ],
)
def test_what_is_no_share_file_is_refused_and_nothing_changes(bench, tmp_path, name, text, said):
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    answer = bench("receive", str(file), "--from", "Ada")
    assert answer.status == 4
    assert said in answer.err
    assert len(bench("pairings", "--json").json["data"]["pairings"]) == 1


def test_a_file_that_is_not_there(bench):
    assert bench("receive", "nowhere.json", "--from", "Ada").status == 3
