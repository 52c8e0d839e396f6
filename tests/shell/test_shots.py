"""shot, amend, undo, shots: what stands in the log afterwards."""

from __future__ import annotations

import re
import sqlite3
from datetime import datetime, timedelta

import pytest

SETTINGS = ("--grind", "18", "--dose", "18", "--temp", "93")
DIALS = ("grind", "dose_g", "temp_c")


def source(bench, *words):
    """Where the grind of a shot that is logged without one comes from."""
    return bench.data("shot", "--score", "5", *words)["taken"]["grind"]


def test_decimal_commas_and_the_typographic_minus(bench):
    bench("shot", "--grind", "18,5", "--dose", "18.2", "--temp", "93", "--time", "27,5", "--balance", "−1")
    (shot,) = bench.log()
    assert (shot["grind"], shot["dose_g"], shot["time_s"], shot["balance"]) == (18.5, 18.2, 27.5, -1.0)


AHEAD = (datetime.now() + timedelta(days=2)).isoformat(timespec="minutes")


@pytest.mark.parametrize(
    ("option", "field", "values"),
    [
        ("--score", "score", ("11", "nan", "inf", "1e999", "")),
        ("--time", "time_s", ("27 s", "0")),
        ("--yield", "yield_g", ("1,234,5", "0")),
        ("--balance", "balance", ("-4",)),
        ("--dose", "dose_g", ("-1",)),
        ("--temp", "temp_c", ("200",)),
        ("--tds", "tds_pct", ("-1",)),
        ("--preinfusion", "preinfusion_s", ("300",)),
        ("--fault", "fault", ("gremlins",)),
        ("--at", "pulled_at", ("yesterday", "tomorrow", AHEAD)),
    ],
)
def test_a_bad_value_is_refused_called_by_its_option_and_nothing_logged(bench, option, field, values):
    for value in values:
        done = bench("shot", *SETTINGS, option, value, "--json")
        error = done.json["error"]
        assert (done.status, error["kind"], error["field"]) == (4, "bad_value", field)
        assert error["accepted"] in error["message"]
        if value != AHEAD:  # the logbook knows of no option
            assert error["message"].startswith(f"{field if option == f'--{field}' else option} can't be ")
    assert bench.log() == []


def test_the_first_shot_needs_its_settings(bench):
    for words, missing in ((("--dose", "18"), "--grind and --temp."), ((), "--grind, --dose and --temp.")):
        done = bench("shot", "--score", "6", *words)
        assert (done.status, done.err.splitlines()[0].endswith(missing)) == (2, True)
    assert bench.log() == []


def test_settings_left_out_come_from_the_advice_and_then_from_the_shot_before(bench):
    advised = bench.data("next")["recipe"]
    first = bench.data("shot", "--score", "6")
    assert first["taken"] == dict.fromkeys(DIALS, "as advised")
    assert [first["shot"][field] for field in DIALS] == [advised[field] for field in DIALS]
    second = bench.data("shot", "--grind", "30", "--score", "4")
    assert second["taken"] == dict.fromkeys(("dose_g", "temp_c"), "as in the shot before")
    assert second["shot"]["dose_g"] == advised["dose_g"]
    third = bench.data("shot", "--score", "4")
    assert third["shot"]["grind"] == 30.0, "the advice is stale: shots were logged since"


def test_a_cup_of_the_sweet_spot_is_logged_as_that(bench):
    bench("shot", *SETTINGS, "--time", "20", "--score", "5", "--balance", "-2")
    assert bench("shot", "--best", "--time", "27").status == 3, "it was never shown"
    told = bench.data("sweet-spot")
    assert told["recipe"] == told["sweet_spot"]["recipe"]
    assert told["next"]["recipe"] != told["recipe"], "the test shot is another one"
    assert bench.data("shot", "--best", "--time", "27")["taken"] == dict.fromkeys(DIALS, "of the sweet spot")
    again = source(bench, "--best")
    assert again.startswith("of the sweet spot as shown on "), "no advice was asked for between"
    assert [shot["grind"] for shot in bench.log()[1:]] == [told["recipe"]["grind"]] * 2


def test_of_a_shot_it_must_be_said_what_came_of_it(bench):
    bench("sweet-spot")
    how_set, nothing = bench("shot", "--best"), bench("shot")
    assert (how_set.status, nothing.status) == (2, 2)
    assert how_set.err != nothing.err
    assert bench.log() == []


@pytest.mark.usefixtures("engine")
def test_the_report_calls_shots_by_their_numbers_in_the_logbook_in_the_order_in_which_they_were_pulled(bench, tmp_path):
    for score in ("5", "6", "7"):
        bench("shot", *SETTINGS, "--time", "20", "--score", score)
    bench("undo")
    (tmp_path / "old.csv").write_text("grind,dose_g,temp_c,time_s,score,pulled_at\n30,18,93,12,4,2001-01-01\n")
    bench("import", str(tmp_path / "old.csv"))
    assert bench("report", "--out", str(tmp_path / "report.html")).status == 0
    (log,) = re.findall('id="log">The shots</h2>.*?</table>', (tmp_path / "report.html").read_text("utf-8"), re.DOTALL)
    assert re.findall(r'<th scope="row">(\d+)</th><td>(\d+),', log) == [("4", "30"), ("1", "18"), ("2", "18")]


@pytest.mark.usefixtures("engine")
def test_a_shot_far_off_the_dials_is_named_until_it_is_corrected(bench):
    bench("shot", *SETTINGS, "--time", "20", "--score", "5")
    plain = bench.data("next")
    bench("shot", "--grind", "180", "--time", "28", "--score", "7")
    for command in ("next", "sweet-spot"):
        assert bench.data(command)["unread"] == [2]
    assert bench.data("next")["recipe"] == plain["recipe"]
    bench("amend", "2", "--grind", "18")
    assert bench.data("next")["unread"] == []


def test_a_recipe_that_was_never_shown_is_not_taken_for_advised(bench):
    bench("shot", *SETTINGS, "--time", "20", "--score", "5")
    for command in ("palate", "sweet-spot", "compare"):
        bench(command, *(("1", "best") if command == "compare" else ()))
    assert source(bench) == "as in the shot before"
    advised = bench.data("next")["recipe"]
    bench("sweet-spot")
    assert source(bench) == "as advised"
    assert bench.log()[-1]["grind"] == advised["grind"]


def test_advice_on_a_log_that_changed_since_is_stale_until_the_change_is_undone(bench):
    for _ in range(2):
        bench("shot", *SETTINGS, "--score", "6")
    bench("next")
    bench("undo")
    assert source(bench) == "as in the shot before"
    bench("next")
    bench("amend", "1", "--score", "7")
    assert source(bench) == "as in the shot before"
    bench("undo")
    bench("undo")
    assert source(bench) == "as advised"


def test_a_note_cannot_steer_the_terminal(bench):
    bench("shot", *SETTINGS, "--note", "thin\x1b[31m\nand sour")
    listed = bench("shots").out
    assert "\x1b" not in listed
    assert "thin [31m and sour" in listed


def test_amend_changes_what_is_given_and_keeps_the_rest(bench):
    bench("shot", *SETTINGS, "--score", "6", "--balance", "-1", "--note", "thin")
    done = bench.data("amend", "1", "--score", "7,5", "--note", "none")
    assert (done["before"]["score"], done["shot"]["score"]) == (6.0, 7.5)
    assert (done["shot"]["note"], done["shot"]["balance"], done["shot"]["revision"]) == (None, -1.0, 2)
    assert bench("amend", "1", "--grind", "none").status == 4
    assert bench("amend", "1", "--score", "12").status == 4
    assert bench("amend", "9", "--score", "7").status == 3
    assert bench.data("amend", "1", "--score", "7.5")["changed"] is False
    assert bench.log()[0]["score"] == 7.5
    before, after = bench("amend", "1", "--note", "thick").out.splitlines()[1:3]
    assert (before.startswith("  was"), after.endswith(", note: thick")) == (True, True)


def test_amending_when_all_was_taken_back(bench):
    bench("shot", *SETTINGS)
    bench("undo")
    taken_back, never = bench("amend", "1", "--score", "7"), bench("amend", "2", "--score", "7")
    assert (taken_back.status, never.status) == (3, 3)
    assert taken_back.err.startswith("Shot 1 was taken back;")
    assert never.err.startswith("There is no shot 2; this pairing has none.")


def test_undo_takes_back_the_latest_act_and_the_history_keeps_it(bench):
    bench("shot", *SETTINGS, "--score", "6")
    bench("shot", *SETTINGS, "--score", "7", "--time", "27")
    bench("amend", "2", "--score", "none", "--note", "sour")
    bench("amend", "2", "--time", "28")
    first, second, third = (bench.data("undo") for _ in range(3))
    assert [it["undone"]["kind"] for it in (first, second, third)] == ["amend", "amend", "log"]
    assert (first["undone"]["shots"][0]["time_s"], first["shot"]["time_s"], first["shot"]["note"]) == (28, 27, "sour")
    assert (second["undone"]["shots"][0]["score"], second["shot"]["score"], second["shot"]["revision"]) == (None, 7, 1)
    assert third["shot"] is None, "the shot itself is gone"
    assert [shot["score"] for shot in bench.log()] == [6.0]
    history = bench.data("shots", "--history")["history"]
    assert [(act["kind"], act["undone_at"] is None) for act in history] == [
        ("log", True),
        ("log", False),
        ("amend", False),
        ("amend", False),
    ]
    assert bench("shots", "--history").out.count("taken back") == 3


def test_one_shot_is_taken_back_whatever_came_after_it(bench, tmp_path):
    for score in ("6", "3", "7"):
        bench("shot", *SETTINGS, "--score", score)
    bench("amend", "2", "--score", "3.5")
    done = bench.data("undo", "--shot", "2")
    assert ([act["kind"] for act in done["undone"]], done["shots"]) == (["amend", "log"], 2)
    assert [(shot["number"], shot["score"]) for shot in bench.log()] == [(1, 6.0), (3, 7.0)]
    for number in ("2", "9"):
        assert bench.fails("undo", "--shot", number) == (3, "not_found"), "taken back already, or never there"
    (tmp_path / "old.csv").write_text("grind,dose_g,temp_c,score\n30,18,93,4\n29,18,93,4\n")
    bench("import", str(tmp_path / "old.csv"))
    assert bench.fails("undo", "--shot", "4") == (4, "refused"), "it came with another in an import"
    assert len(bench.log()) == 4


@pytest.mark.usefixtures("engine")
def test_an_empty_log_has_advice(bench):
    assert bench.log() == []
    assert bench.data("sweet-spot")["sweet_spot"]["prob_near_optimal"] < 0.5


def test_advice_is_kept_with_its_seed(bench, home):
    bench("next", "--seed", "3")
    kept = sqlite3.connect(home / "logbook.db").execute("SELECT seed, version FROM advice").fetchall()
    assert [seed for seed, _ in kept] == [3]


@pytest.mark.usefixtures("engine")
def test_the_same_seed_gives_the_same_advice(bench):
    bench("shot", *SETTINGS, "--score", "6", "--time", "20", "--yield", "36")
    assert bench.data("next") == bench.data("next")


def test_what_nothing_is_learned_from_is_logged_exported_and_read_back(bench, tmp_path):
    out = tmp_path / "shots.csv"
    bench("shot", *SETTINGS, "--time", "27", "--preinfusion", "6")
    assert bench.log()[-1]["preinfusion_s"] == 6
    assert bench("export", str(out)).status == 0
    assert out.read_text(encoding="utf-8").splitlines()[0].endswith(",preinfusion_s")
    bench("amend", "1", "--preinfusion", "none")
    assert bench.log()[-1]["preinfusion_s"] is None
    assert [bench("undo").status for _ in range(2)] == [0, 0]
    assert bench("import", str(out)).status == 0
    assert bench.log()[-1]["preinfusion_s"] == 6
