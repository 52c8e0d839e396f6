"""share and receive: what is sent, and what it is worth to whoever takes it in."""

from __future__ import annotations

import csv
import json
from datetime import date, datetime, timedelta
from html import unescape

import pytest

HEADER = "grind,dose_g,temp_c,yield_g,time_s,score,balance,note,tds_pct\n"
ROWS = (
    "24,18,93,36,17,5,-2,thin,\n20,18,93,36,22,6.5,-1,,\n17,18,93,36,28,8,0,plum jam,9.1\n14,18,93,36,36,6,1,,\n"
    "17,18,93,36,29,7.5,0,,9.3\n"
)
OWN_KIT = (
    ("grinder", "kitchen mill", "--grind", "0:100:2", "--finer", "up"),
    ("machine", "lever", "--temp", "88:96:1"),
    ("basket", "deep", "--dose", "16.5:20:0.1"),
)


@pytest.fixture
def dialled(bench, tmp_path):
    source = tmp_path / "in.csv"
    source.write_text(HEADER + ROWS, encoding="utf-8")
    assert bench("import", str(source)).status == 0
    return bench


@pytest.fixture
def there(tmp_path):
    """The options that name another home."""
    return "--home", str(tmp_path / "another home")


@pytest.fixture
def come(dialled, tmp_path, there):
    """Sends what there is and takes it in there."""

    def come(sender="Ada", to=there):
        sent = tmp_path / "sent.json"
        assert dialled("share", str(sent), "--replace").status == 0
        return dialled.data("receive", str(sent), "--from", sender, *to)

    return come


def shot(run, grind, time_s, score, *more):
    run("shot", "--grind", grind, "--dose", "18", "--temp", "93", "--time", time_s, "--score", score, *more)


def sent(tmp_path, **changes):
    """A share file with two shots, its case changed."""
    shot = {"grind": 18, "dose_g": 18, "temp_c": 93, "score": 7}
    case = {
        "bean": {"name": "harbour fog"},
        "grinder": {"name": "their grinder", "grind": {"low": 0, "high": 40, "step": 1}},
        "machine": {"name": "their machine", "temp_c": {"low": 88, "high": 96, "step": 1}},
        "basket": {"name": "their basket", "dose_g": {"low": 16, "high": 20, "step": 0.5}},
        "ratio": 2,
        "drink": "straight",
        "shots": [shot, {**shot, "grind": 17}],
        **changes,
    }
    file = tmp_path / "sent.json"
    file.write_text(json.dumps({"format": "dialopt share", "schema": 1, "case": case}), encoding="utf-8")
    return str(file)


def changed(file, **change):
    """A share file whose shots are others."""
    told = json.loads(file.read_text(encoding="utf-8"))
    for shot in told["case"]["shots"]:
        shot |= change
    file.write_text(json.dumps({**told, "hash": None}), encoding="utf-8")


@pytest.mark.usefixtures("engine")
def test_a_share_file_says_the_recipe_without_a_dial(dialled, tmp_path):
    out = tmp_path / "for-the-roaster.json"
    assert "the setting that runs nearest to 25 s" in dialled("share", str(out)).out
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
    assert dialled.fails("share", str(tmp_path / "card.xlsx")) == (4, "refused")


@pytest.mark.usefixtures("engine")
@pytest.mark.parametrize("kind", ["json", "html"])
def test_what_was_sent_is_a_head_start_elsewhere(dialled, there, tmp_path, kind):
    file = tmp_path / f"sent.{kind}"
    assert dialled(*(("share", str(file)) if kind == "json" else ("report", "--out", str(file)))).status == 0
    for words in (*OWN_KIT, ("bean", "harbour fog", "--roast", "medium"), ("pairing",)):
        dialled(*words, *there)
    taken = dialled.data("receive", str(file), "--from", "Ada", *there)
    assert (taken["shots"], taken["title"]) == (5, "harbour fog on bench grinder of Ada")
    assert dialled.data("pairings", *there)["in_use"] != taken["pairing"]
    assert "going by 1 earlier pairing" in dialled.data("next", *there)["reason"]
    assert dialled.fails("receive", str(file), "--from", "Ada", *there) == (4, "refused"), "it is here already"
    assert [bean["roast"] for bean in dialled.data("kit", *there)["beans"]] == ["medium"]


def test_what_was_sent_is_promised_a_say_only_where_it_has_one(dialled, there, tmp_path):
    """Many other beans on the grinder leave it one; two own pairings with the bean on these burrs don't."""

    def step(sender):
        assert dialled("share", str(tmp_path / "sent.json"), "--replace").status == 0
        return dialled("receive", str(tmp_path / "sent.json"), "--from", sender, "--json", *there).json["next_step"]

    for words in OWN_KIT:
        dialled(*words, *there)
    for bean in ("one", "two", "three", "four", "five"):
        dialled("bean", bean, *there)
        dialled("pairing", *there)
        shot(dialled, "50", "28", "6", *there)
    dialled("bean", "harbour fog", *there)
    dialled("pairing", *there)
    assert "`dialopt next` starts from it" in step("Ada")
    for drink in ("milk", "straight"):
        dialled("pairing", "--drink", drink, *there)
        shot(dialled, "50", "28", "6", *there)
    dialled("pairing", "--water", "soft", *there)
    dialled("amend", "1", "--score", "4")
    assert "your own pairings with that bean tell more" in step("Bea")


def test_shots_alike_on_one_day_are_taken_in_and_nothing_is_kept_of_a_file_that_is_refused(bench, there, tmp_path):
    for _ in range(2):
        bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "7", "--at", "2024-04-09")
    file = tmp_path / "sent.json"
    assert bench("share", str(file)).status == 0
    told = json.loads(file.read_text(encoding="utf-8"))
    first = told["case"]["shots"][0]
    ahead, other = ({**told["case"], "shots": [first | it]} for it in ({"pulled_at": "2999-01-01"}, {"score": 9}))
    for spoilt in (
        {**told, "hash": None, "case": ahead},
        {**told, "case": other},
        {**told, "recipe": {**told["recipe"], "dose_g": 1e9}},
        {**told, "recipe": {"dose_g": 18}},
        {**told, "recipe": [18]},
    ):
        bad = tmp_path / "bad.json"
        bad.write_text(json.dumps(spoilt), encoding="utf-8")
        assert bench("receive", str(bad), "--from", "Ada", *there).status == 4
        assert bench.data("pairings", *there)["pairings"] == []
    assert bench.data("receive", str(file), "--from", "Ada", *there)["shots"] == 2


def test_a_dial_in_that_went_on_is_brought_up_to_date(dialled, there, tmp_path):
    files = [str(tmp_path / f"{name}.json") for name in ("first", "second", "third")]
    for file in files:
        assert dialled("share", file).status == 0
        if file == files[0]:
            shot(dialled, "16", "31", "6")
        if file == files[1]:
            dialled("amend", "1", "--score", "4.5")
            shot(dialled, "17", "28", "7")
    taken = [dialled.data("receive", file, "--from", "Ada", *there) for file in files]
    assert [(one["shots"], one["amended"]) for one in taken] == [(5, 0), (1, 0), (1, 1)]
    for file in files:
        again = dialled("receive", file, "--from", "Ada", *there)
        assert "is here already, as pairing 1" in again.err, "an older file brings nothing back"
    dialled("use", "1", *there)
    assert (len(dialled.log(*there)), dialled.log(*there)[0]["score"]) == (7, 4.5)


def test_no_shot_counts_twice_whoever_sends_it(dialled, come, there, tmp_path):
    come()
    twice = dialled("receive", str(tmp_path / "sent.json"), "--from", "Bea", *there)
    assert (twice.status, twice.err.split(",")[0]) == (4, "These are shots scored by Ada that are here already")
    dialled("use", "1", *there)
    shot(dialled, "16", "31", "6", *there)
    back = tmp_path / "back.json"
    dialled("share", str(back), *there)
    taken = dialled.data("receive", str(back), "--from", "Cleo")
    assert (taken["shots"], taken["known_elsewhere"]) == (1, 5)


def test_kit_of_somebody_else_is_not_among_one_s_own(dialled, tmp_path):
    file = tmp_path / "sent.json"
    dialled("share", str(file))
    own = dialled("receive", str(file), "--from", "Ada")
    assert (own.status, own.err.split(";")[0]) == (
        4,
        "These are your own shots, of pairing 1, harbour fog on bench grinder",
    )
    changed(file, score=5)
    dialled("receive", str(file), "--from", "Ada")
    assert [grinder["name"] for grinder in dialled.data("kit")["grinders"]] == ["bench grinder"]
    again = dialled.data("pairing")["pairing"]
    assert (again["id"], again["grinder"]["name"], again["taster"]) == (1, "bench grinder", None)
    dialled("use", "2")
    amended = dialled.data("pairing", "--amend", "--water", "soft")["pairing"]
    assert (amended["id"], amended["taster"]) == (2, "Ada"), "still scored by Ada"


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("a.json", "{", "isn't whole"),
        ("b.json", "[" * 100_000, "isn't whole"),
        ("c.json", "{}", "no share file"),
        ("d.json", '{"format": "dialopt share", "schema": 2}', "newer dialopt"),
        ("e.json", '{"format": "dialopt share", "schema": true}', "which schema"),
        ("f.json", '{"format": "dialopt share", "schema": 1, "case": 5}', "all of it is no set of named values"),
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
    assert len(bench.data("pairings")["pairings"]) == 1


def test_a_file_that_is_not_there(bench):
    assert bench.fails("receive", "nowhere.json", "--from", "Ada") == (3, "not_found")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"shots": [{"grind": 18, "dose_g": 18, "temp_c": 93, "pulled_at": "9000-01-01"}]}, "a time that has come"),
        ({"shots": [{"grind": 18, "dose_g": 18, "temp_c": 93, "note": "\ud800"}]}, "whole Unicode characters"),
        ({"water": "\ud800"}, "whole Unicode characters"),
        ({"shots": []}, "nothing to learn from"),
    ],
)
def test_a_file_that_is_refused_late_leaves_no_pairing_behind(bench, home, tmp_path, changes, said):
    before = (home / "logbook.db").read_bytes()
    refused = bench("receive", sent(tmp_path, **changes), "--from", "Ada")
    assert refused.status == 4
    assert said in refused.err
    assert (home / "logbook.db").read_bytes() == before


@pytest.mark.parametrize("sender", ["", "  ", "x" * 101, "two\nlines"])
def test_a_sender_wants_a_name(bench, tmp_path, sender):
    refused = bench("receive", sent(tmp_path), "--from", sender, "--json")
    assert (refused.status, refused.json["error"]["field"]) == (4, "from")


def test_without_a_shot_there_is_nothing_to_share(bench, tmp_path):
    done = bench("share", str(tmp_path / "sent.json"), "--json")
    assert (done.status, done.json["next_step"]) == (4, "`dialopt shot` logs one.")
    assert not (tmp_path / "sent.json").exists()


def test_with_own_kit_and_their_pairing_alone_the_next_step_is_a_pairing(run, tmp_path):
    for words in (*OWN_KIT, ("bean", "harbour fog")):
        run(*words)
    done = run("receive", sent(tmp_path), "--from", "Ada", "--json")
    assert done.json["next_step"].startswith("`dialopt pairing` ")


def test_new_water_beside_a_received_pairing_is_for_one_s_own_kit(bench, tmp_path):
    bench("receive", sent(tmp_path, water="theirs"), "--from", "Ada")
    bench("use", "2")
    made = bench.data("pairing", "--water", "soft")["pairing"]
    own = ["bench grinder", "bench machine", "bench basket"]
    assert [made[part]["name"] for part in ("grinder", "machine", "basket")] == own
    bench("use", "2")
    assert bench.data("pairing")["pairing"]["water"] is None


@pytest.mark.usefixtures("engine")
def test_what_is_true_of_one_s_own_bag_is_not_told_of_theirs(bench, tmp_path):
    bench("bean", "harbour fog", "--roasted-on", f"{date.today() - timedelta(days=13)}", "--bag-g", "1000")
    bench("pairing", "--amend")
    file = sent(tmp_path)
    number = str(bench.data("receive", file, "--from", "Ada")["pairing"])
    assert "13 days off roast" in bench("next").out
    for words in (("use", number), ("next",), ("sitting",)):
        said = bench(*words, typed="stop\n").out
        assert "off roast" not in said
        assert "shots left" not in said
        assert "kit and scores of this pairing are Ada's" in said
    out = tmp_path / "theirs.html"
    assert bench("report", "--out", str(out)).status == 0
    page = unescape(out.read_text(encoding="utf-8"))
    assert "a bag of Ada's, of which neither age nor size is kept here" in page
    assert "off roast" not in page
    assert "The bag" not in page
    assert bench("receive", file, "--from", "Ada").status == 4, "it is here already, as the same pairing"
    bench("use", "1")
    assert bench.data("kit")["beans"][0]["bag_g"] == 1000


def test_a_shot_that_they_took_back_is_named(dialled, come, there):
    at = [("--at", f"{datetime.now() - timedelta(minutes=30 - 5 * place):%Y-%m-%dT%H:%M}") for place in range(4)]
    shot(dialled, "16", "31", "6", *at[0])
    assert come()["gone"] == []
    dialled("use", "1", *there)
    shot(dialled, "15", "33", "5", *at[1], *there)
    dialled("undo", "--shot", "6")
    shot(dialled, "17", "28", "7", *at[2])
    assert come()["gone"] == [6]
    assert dialled("amend", "6", "--fault", "other", *there).status == 0
    shot(dialled, "17", "27", "7.5", *at[3])
    told = come()
    assert (told["shots"], told["amended"], told["gone"]) == (1, 0, []), "it doesn't count any more"
