from __future__ import annotations

import re
from datetime import datetime, timedelta

import pytest

SETTINGS = ("--grind", "18", "--dose", "18", "--temp", "93")


def logged(bench):
    return bench("shots", "--json").json["data"]["shots"]


def test_decimal_commas_and_the_typographic_minus(bench):
    bench("shot", "--grind", "18,5", "--dose", "18.2", "--temp", "93", "--time", "27,5", "--balance", "−1")
    (shot,) = logged(bench)
    assert (shot["grind"], shot["dose_g"], shot["time_s"], shot["balance"]) == (18.5, 18.2, 27.5, -1.0)


@pytest.mark.parametrize(
    ("option", "value"),
    [
        ("--score", "11"),
        ("--score", "nan"),
        ("--score", "inf"),
        ("--score", "1e999"),
        ("--score", ""),
        ("--time", "27 s"),
        ("--time", "0"),
        ("--yield", "1,234,5"),
        ("--balance", "-4"),
        ("--tds", "-1"),
        ("--fault", "gremlins"),
        ("--at", "yesterday"),
    ],
)
def test_a_bad_value_is_refused_and_nothing_logged(bench, option, value):
    done = bench("shot", *SETTINGS, option, value)
    assert done.status == 4
    assert "it takes" in done.err
    assert logged(bench) == []


def test_the_first_shot_needs_its_settings(bench):
    done = bench("shot", "--dose", "18", "--score", "6")
    assert done.status == 2
    assert "--grind and --temp" in done.err
    assert "give --grind, --dose and --temp." in bench("shot", "--score", "6").err
    assert logged(bench) == []


def test_a_setting_that_the_dial_has_not_is_logged_with_a_word(bench):
    done = bench("shot", "--grind", "18.4", "--dose", "18", "--temp", "93")
    assert done.status == 0
    assert "Grind 18.4 isn't on the dial, 0 to 40 in steps of 1" in done.out


def test_settings_left_out_come_from_the_advice_and_then_from_the_shot_before(bench):
    advised = bench("next", "--json").json["data"]["recipe"]
    first = bench("shot", "--score", "6", "--json").json["data"]
    assert first["taken"] == dict.fromkeys(("grind", "dose_g", "temp_c"), "as advised")
    assert [first["shot"][field] for field in ("grind", "dose_g", "temp_c")] == [
        advised[field] for field in ("grind", "dose_g", "temp_c")
    ]
    second = bench("shot", "--grind", "30", "--score", "4", "--json").json["data"]
    assert second["taken"] == dict.fromkeys(("dose_g", "temp_c"), "as in the shot before")
    assert second["shot"]["dose_g"] == advised["dose_g"]
    third = bench("shot", "--score", "4", "--json").json["data"]
    assert third["shot"]["grind"] == 30.0, "the advice is stale: shots were logged since"


def test_a_slip_of_the_pen_is_no_default_for_the_next_shot(bench):
    bench("shot", *SETTINGS, "--score", "6")
    bench("shot", "--grind", "91", "--score", "7")
    said = bench("shot", "--temp", "92", "--score", "5")
    assert "Grind and dose as in the last shot that was on the dials." in said.out
    assert [shot["grind"] for shot in logged(bench)] == [18.0, 91.0, 18.0]
    bench("undo", "--shot", "1")
    bench("undo", "--shot", "3")
    assert bench("shot", "--score", "7").status == 2, "there is nothing to go by"


def test_a_cup_of_the_sweet_spot_is_logged_as_that(bench):
    bench("shot", *SETTINGS, "--time", "20", "--score", "5", "--balance", "-2")
    shown = bench("sweet-spot")
    assert "dialopt shot --best --time S" in shown.out.splitlines()[-1]
    told = bench("sweet-spot", "--json").json["data"]
    assert told["recipe"] == told["sweet_spot"]["recipe"]
    assert told["next"]["recipe"] != told["recipe"], "the test shot is another one"
    cup = bench("shot", "--best", "--time", "27")
    assert "Grind, dose and temperature of the sweet spot." in cup.out
    assert logged(bench)[1]["grind"] == told["sweet_spot"]["recipe"]["grind"]
    again = bench("shot", "--best", "--time", "28")
    assert "Grind, dose and temperature of the sweet spot as shown on " in again.out, "no advice was asked for between"
    assert logged(bench)[2]["grind"] == logged(bench)[1]["grind"]


def test_a_cup_of_a_sweet_spot_that_was_never_shown_is_asked_about(bench):
    bench("shot", *SETTINGS, "--time", "20", "--score", "5")
    never = bench("shot", "--best", "--time", "27")
    assert never.status == 3
    assert "dialopt sweet-spot" in never.err
    assert len(logged(bench)) == 1


def test_the_shot_before_is_the_one_pulled_before(bench, tmp_path):
    """Not an older one of a log that was imported since."""
    bench("shot", *SETTINGS, "--time", "20", "--score", "5")
    (tmp_path / "old.csv").write_text(
        "grind,dose_g,temp_c,time_s,score,pulled_at\n30,18,93,12,4,2001-01-01\n29,18,93,13,4,2001-01-02\n"
    )
    assert bench("import", str(tmp_path / "old.csv")).status == 0
    bench("shot", "--time", "21")
    assert logged(bench)[-1]["grind"] == logged(bench)[0]["grind"]


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
    plain = bench("next", "--json").json["data"]
    bench("shot", "--grind", "180", "--time", "28", "--score", "7")
    for command in ("next", "sweet-spot"):
        assert "  Unread   shot 2, grind 180, " in bench(command).out
        assert bench(command, "--json").json["data"]["unread"] == [2]
    assert bench("next", "--json").json["data"]["recipe"] == plain["recipe"]
    bench("amend", "2", "--grind", "18")
    assert "Unread" not in bench("next").out


def test_a_recipe_that_was_never_shown_is_not_taken_for_advised(bench):
    bench("shot", *SETTINGS, "--time", "20", "--score", "5")
    for command in ("palate", "sweet-spot", "compare"):
        bench(command, *(("1", "best") if command == "compare" else ()))
    bench("shot", "--time", "21", "--score", "5", "--json")
    assert logged(bench)[-1]["grind"] == 18
    advised = bench("next", "--json").json["data"]["recipe"]
    bench("sweet-spot")
    taken = bench("shot", "--score", "5", "--json").json["data"]
    assert taken["taken"]["grind"] == "as advised"
    assert logged(bench)[-1]["grind"] == advised["grind"]


def test_advice_that_saw_a_shot_since_taken_back_is_stale(bench):
    bench("shot", *SETTINGS, "--score", "6")
    bench("shot", *SETTINGS, "--score", "6")
    bench("next")
    bench("undo")
    assert bench("shot", "--score", "5", "--json").json["data"]["taken"]["grind"] == "as in the shot before"


def test_a_fault_says_what_it_still_tells(bench):
    assert "the taste misleads" in bench("shot", *SETTINGS, "--fault", "Channelled", "--score", "3").out


def test_strength_gives_the_extraction(bench):
    done = bench("shot", *SETTINGS, "--yield", "36", "--tds", "10")
    assert "20.0 % extracted" in done.out


def test_a_note_cannot_steer_the_terminal(bench):
    bench("shot", *SETTINGS, "--note", "thin\x1b[31m\nand sour")
    listed = bench("shots").out
    assert "\x1b" not in listed
    assert "thin [31m and sour" in listed


def test_amend_changes_what_is_given_and_keeps_the_rest(bench):
    bench("shot", *SETTINGS, "--score", "6", "--balance", "-1", "--note", "thin")
    done = bench("amend", "1", "--score", "7,5", "--note", "none", "--json").json["data"]
    assert (done["before"]["score"], done["shot"]["score"]) == (6.0, 7.5)
    assert (done["shot"]["note"], done["shot"]["balance"], done["shot"]["revision"]) == (None, -1.0, 2)
    assert bench("amend", "1", "--grind", "none").status == 4
    assert bench("amend", "1", "--score", "12").status == 4
    assert bench("amend", "9", "--score", "7").status == 3
    assert bench("amend", "1", "--score", "7.5", "--json").json["data"]["changed"] is False
    assert logged(bench)[0]["score"] == 7.5


def test_undo_takes_back_the_latest_act_and_the_history_keeps_it(bench):
    bench("shot", *SETTINGS, "--score", "6")
    bench("shot", *SETTINGS, "--score", "7")
    bench("amend", "1", "--score", "5")
    assert "the amendment of shot 1" in bench("undo").out
    assert "shot 2" in bench("undo").out
    assert [shot["score"] for shot in logged(bench)] == [6.0]
    history = bench("shots", "--history", "--json").json["data"]["history"]
    assert [(act["kind"], act["undone_at"] is None) for act in history] == [
        ("log", True),
        ("log", False),
        ("amend", False),
    ]
    assert "taken back" in bench("shots", "--history").out


def test_one_shot_is_taken_back_whatever_came_after_it(bench, tmp_path):
    for score in ("6", "3", "7"):
        bench("shot", *SETTINGS, "--score", score)
    bench("amend", "2", "--score", "3.5")
    done = bench("undo", "--shot", "2", "--json").json["data"]
    assert ([act["kind"] for act in done["undone"]], done["shots"]) == (["amend", "log"], 2)
    assert [(shot["number"], shot["score"]) for shot in logged(bench)] == [(1, 6.0), (3, 7.0)]
    assert "taken back" in bench("shots", "--history").out
    assert bench("undo", "--shot", "2").status == 3, "it is taken back already"
    assert bench("undo", "--shot", "9").status == 3
    (tmp_path / "old.csv").write_text("grind,dose_g,temp_c,score\n30,18,93,4\n29,18,93,4\n")
    bench("import", str(tmp_path / "old.csv"))
    refused = bench("undo", "--shot", "4")
    assert (refused.status, "came with 1 other in an import" in refused.err) == (4, True)
    assert len(logged(bench)) == 4


@pytest.mark.usefixtures("engine")
def test_an_empty_log_has_advice(bench):
    assert logged(bench) == []
    done = bench("sweet-spot", "--json")
    assert done.status == 0
    assert done.json["data"]["sweet_spot"]["prob_near_optimal"] < 0.5


def test_advice_is_kept_with_its_seed(bench, home):
    import sqlite3

    bench("next", "--seed", "3")
    kept = sqlite3.connect(home / "logbook.db").execute("SELECT seed, version FROM advice").fetchall()
    assert [seed for seed, _ in kept] == [3]


@pytest.mark.usefixtures("engine")
def test_the_same_seed_gives_the_same_advice(bench):
    bench("shot", *SETTINGS, "--score", "6", "--time", "20", "--yield", "36")
    assert bench("next", "--json").json["data"] == bench("next", "--json").json["data"]


def test_advice_that_saw_a_shot_since_amended_is_stale_until_the_amendment_is_undone(bench):
    bench("shot", *SETTINGS, "--score", "6")
    bench("next")
    bench("amend", "1", "--score", "7")
    assert bench("shot", "--score", "5", "--json").json["data"]["taken"]["grind"] == "as in the shot before"
    bench("undo")
    bench("undo")
    assert bench("shot", "--score", "5", "--json").json["data"]["taken"]["grind"] == "as advised"


@pytest.mark.parametrize(
    ("option", "value"), [("--dose", "-1"), ("--temp", "200"), ("--yield", "0"), ("--time", "0"), ("--at", "tomorrow")]
)
def test_a_bad_value_is_called_by_the_option_that_was_typed(bench, option, value):
    assert bench("shot", *SETTINGS, option, value).err.startswith(f"{option} can't be ")


def test_a_time_to_come_is_refused(bench):
    ahead = (datetime.now() + timedelta(days=2)).isoformat(timespec="minutes")
    done = bench("shot", *SETTINGS, "--at", ahead, "--json")
    assert (done.status, done.json["error"]["field"]) == (4, "pulled_at")
    assert logged(bench) == []


def test_amending_when_all_was_taken_back(bench):
    bench("shot", *SETTINGS)
    bench("undo")
    assert bench("amend", "1", "--score", "7").err.startswith("Shot 1 was taken back;")
    assert "There is no shot 2; this pairing has none." in bench("amend", "2", "--score", "7").err


def test_an_amendment_shows_what_changed(bench):
    bench("shot", *SETTINGS, "--at", "2024-04-09T07:15", "--note", "thin")
    for option, value, was, now in (
        ("--note", "thick", "note: thin", "note: thick"),
        ("--at", "2024-04-09T07:16", "pulled at 2024-04-09 07:15:00", "pulled at 2024-04-09 07:16:00"),
        ("--tds", "9.1", "no strength", "strength 9.1 %"),
    ):
        before, after = bench("amend", "1", option, value).out.splitlines()[1:3]
        assert before.startswith("  was")
        assert before.endswith(f", {was}")
        assert after.endswith(f", {now}")


def test_the_sweet_spot_is_not_taken_off_dials_that_were_narrowed_since(bench):
    bench("shot", *SETTINGS, "--time", "22", "--score", "6", "--balance", "-1")
    told = bench("sweet-spot", "--json").json["data"]
    ours, theirs = told["next"]["recipe"]["grind"], told["recipe"]["grind"]
    assert ours != theirs
    low, high = (0, ours) if ours < theirs else (ours, 40)
    bench("grinder", "bench grinder", "--grind", f"{low:g}:{high:g}:1")
    assert bench("pairing", "--amend").status == 0
    assert bench("shot", "--best", "--time", "27").status == 3


@pytest.mark.parametrize(("balance", "said"), [("0.5", "a little bitter (+0.5)"), ("-0.4", "balanced (−0.4)")])
def test_a_balance_between_two_words_keeps_its_sign(bench, balance, said):
    assert said in bench("shot", *SETTINGS, "--balance", balance).out


def test_taking_an_amendment_back_says_how_the_shot_stands_now(bench):
    bench("shot", *SETTINGS, "--score", "6")
    bench("shot", *SETTINGS, "--score", "7", "--time", "27")
    bench("amend", "2", "--score", "none", "--note", "sour")
    bench("amend", "2", "--time", "28")
    done = bench("undo")
    assert done.out.splitlines()[1:3] == [
        "  was  grind 18, 18 g, 93 °C → in 28 s, not scored",
        "  now  grind 18, 18 g, 93 °C → in 27 s, not scored",
    ]
    told = bench("undo", "--json").json["data"]
    assert (told["undone"]["shots"][0]["score"], told["shot"]["score"], told["shot"]["revision"]) == (None, 7.0, 1)
    assert bench("undo", "--json").json["data"]["shot"] is None, "the shot itself is gone"
    bench("amend", "1", "--score", "none", "--note", "sour")
    assert bench("undo").out.splitlines()[1:3] == [
        "  was  grind 18, 18 g, 93 °C → cup not weighed, not scored, note: sour",
        "  now  grind 18, 18 g, 93 °C → cup not weighed, score 6, no note",
    ]


def test_of_a_cup_of_the_sweet_spot_it_must_be_said_what_came_of_it(bench):
    bench("sweet-spot")
    done = bench("shot", "--best")
    assert done.status == 2
    assert "`--best` says how it was set; add what came of it, as in `dialopt shot --best --time 27" in done.err
    assert logged(bench) == []
    assert "Nothing was said about the shot" in bench("shot").err


def test_what_nothing_is_learned_from_is_logged_shown_exported_and_read_back(bench, tmp_path):
    out = tmp_path / "shots.csv"
    line = ("--grind", "18", "--dose", "18", "--temp", "93", "--time", "27")
    assert "6 s preinfusion" in bench("shot", *line, "--preinfusion", "6").out
    assert "6 s preinfusion" in bench("shots").out
    assert bench("shot", *line, "--preinfusion", "300").status == 4
    assert bench("shots", "--json").json["data"]["shots"][-1]["preinfusion_s"] == 6
    assert bench("export", str(out)).status == 0
    assert out.read_text(encoding="utf-8").splitlines()[0].endswith(",preinfusion_s")
    assert bench("amend", "1", "--preinfusion", "none").status == 0
    assert "preinfusion" not in bench("shots").out
    assert [bench("undo").status for _ in range(2)] == [0, 0]
    assert bench("import", str(out)).status == 0
    assert bench("shots", "--json").json["data"]["shots"][-1]["preinfusion_s"] == 6
