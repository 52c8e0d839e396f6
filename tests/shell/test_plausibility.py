"""A shot that contradicts itself is saved all the same, and asked about."""

from __future__ import annotations

import pytest

SETTINGS = ("--grind", "18", "--dose", "18", "--temp", "93")
PLAIN = (*SETTINGS, "--yield", "36", "--time", "28", "--score", "7", "--balance", "0")
FAST_BITTER = "\n18\n18\n93\n36\n15\n6\n2\n\n\n"  # settings, cup, time, score, balance, no fault, no note
A_SLIP = "Was it a slip of the pen?"


def asked(bench, *words):
    """What is asked about a shot that is logged or amended, by what it is about."""
    return {question["about"]: question for question in bench.data(*words)["questions"]}


def test_a_slip_of_the_pen_is_saved_and_the_command_that_mends_it_works(bench):
    assert asked(bench, "shot", *PLAIN) == {}
    question = asked(bench, "shot", *SETTINGS, "--time", "280", "--score", "7")["time"]
    assert (question["shot"], question["fault"]) == (2, "choked")
    assert question["if_slip"] == ["dialopt amend 2 --time S"]
    for command in (question["if_slip"][0].replace("S", "28"), question["if_fault"]):
        assert bench(*command.split()[1:]).status == 0
    assert [shot["fault"] for shot in bench.log()] == [None, "choked"]


def test_an_amended_shot_gets_the_same_look_for_what_is_new_in_it(bench):
    bench("shot", *PLAIN)
    bench("shot", *PLAIN)
    assert asked(bench, "amend", "2", "--time", "280")["time"]["fault"] is None, "the cup filled all the same"
    question = asked(bench, "amend", "2", "--time", "15")["time"]
    assert (question["shot"], question["fault"]) == (2, "channelled")
    assert asked(bench, "amend", "2", "--score", "6") == {}, "it was asked about the time already"
    assert set(asked(bench, "amend", "2", "--balance", "2")) == {"balance"}, "fast and bitter is another contradiction"
    assert asked(bench, "amend", "2", "--fault", "channelled") == {}
    assert bench.data("amend", "2", "--fault", "channelled")["changed"] is False


def test_what_may_be_two_things_can_be_mended_in_two_ways(bench):
    question = asked(bench, "shot", *SETTINGS, "--time", "15", "--score", "6", "--balance", "2")["balance"]
    assert question["if_fault"] == "dialopt amend 1 --fault channelled"
    assert question["if_slip"] == ["dialopt amend 1 --time S", "dialopt amend 1 --balance -3..3"]
    assert asked(bench, "shot", *SETTINGS, "--score", "7") == {}


def test_dose_and_cup_that_changed_places_are_mended_by_one_command(bench):
    told = asked(bench, "shot", *SETTINGS[:2], "--temp", "93", "--dose", "36", "--yield", "18", "--time", "28")
    assert set(told) == {"swapped"}
    assert told["swapped"]["if_slip"] == ["dialopt amend 1 --dose G --yield G"]
    assert set(asked(bench, "amend", "1", "--note", "x", "--dose", "36", "--yield", "18.1")) == {"swapped"}
    assert asked(bench, "amend", "1", "--dose", "18", "--yield", "36") == {}


def test_off_the_dial(bench):
    done = bench.data("shot", "--grind", "180", "--dose", "18", "--temp", "93")
    assert done["off_dial"] == [question["about"] for question in done["questions"]] == ["grind"]


@pytest.mark.parametrize(
    ("answers", "fault", "time", "balance"),
    [
        ("n\nn\n", None, 15.0, 2.0),
        ("y\n", "channelled", 15.0, 2.0),
        ("n\ny\n27\n\n", None, 27.0, 2.0),
        ("n\ny\nsoon\n\n-2\n", None, 15.0, -2.0),
        ("", None, 15.0, 2.0),
    ],
)
def test_a_sitting_asks_and_amends(bench, answers, fault, time, balance):
    done = bench("sitting", typed=FAST_BITTER + answers + "stop\n")
    assert done.status == 0, done.err
    (shot,) = bench.log()
    assert (shot["fault"], shot["time_s"], shot["balance"]) == (fault, time, balance)
    assert ("Amended shot 1" in done.out) == (shot["revision"] == 2)


def test_what_was_mended_raises_no_further_question(bench):
    for _ in range(3):
        bench("shot", *PLAIN)
    assert bench("sitting", typed="y\n" + FAST_BITTER + "n\ny\n27\n\nstop\n").out.count(A_SLIP) == 1
    assert bench("sitting", typed="y\n" + FAST_BITTER + "n\nn\nn\nn\nstop\n").out.count(A_SLIP) == 2


@pytest.mark.parametrize(("answer", "figures"), [("y", (18, 36)), ("n", (36, 18))])
def test_in_a_sitting_dose_and_cup_are_turned_round_on_a_yes(bench, answer, figures):
    entry = "\n36\ny\n\n18\n28\n7\n0\n\n\n"  # grind, dose that isn't on the dial, temperature, cup, time, score …
    bench("sitting", typed=f"\n{entry}{answer}\nstop\n")
    (shot,) = bench.log()
    assert (shot["dose_g"], shot["yield_g"]) == figures


def test_undo_in_a_sitting_takes_back_the_amendment_first_and_then_the_shot(bench):
    bench("sitting", typed=FAST_BITTER + "y\nundo\nundo\nstop\n")
    assert bench.log() == []
    history = bench.data("shots", "--history")["history"]
    assert [(act["kind"], act["undone_at"] is None) for act in history] == [("log", False), ("amend", False)]


def test_an_import_is_asked_about(bench, tmp_path):
    header, sheet = "grind,dose_g,temp_c,yield_g,time_s,score,balance\n", tmp_path / "in.csv"
    rows = ["18,18,93,36,28,7,0", "18,18,93,36,27,7,0", "18,18,93,63,15,7,2", "18,18,93,36,28,10,3"]
    sheet.write_text(header + "\n".join(rows) + "\n")
    questions = bench.data("import", str(sheet))["questions"]
    assert [(question["shot"], question["about"]) for question in questions] == [
        (3, "balance"),
        (3, "yield"),
        (3, "time"),
        (4, "score"),
    ]
    bench("undo")
    assert "Really?  shot 7: 63 g in the cup" in bench("import", str(sheet)).out
    sheet.write_text(header + "18,18,93,36,28.5,7,0\n")
    assert asked(bench, "import", str(sheet)) == {}


def test_no_way_to_the_next_recipe_is_told_from_settings_that_are_a_slip_of_the_pen(bench):
    bench("shot", *PLAIN)
    assert bench.data("next")["change"] is not None
    assert "  Change   " in bench("next").out
    bench("shot", "--grind", "180", *SETTINGS[2:], "--time", "28", "--score", "7")
    assert bench.data("next")["change"] is None
    said = bench("next").out
    assert "  Set      " in said
    assert "  Change   " not in said
    assert "  Purge    " not in said
