"""A shot that contradicts itself is saved all the same, and asked about."""

from __future__ import annotations

import pytest

SETTINGS = ("--grind", "18", "--dose", "18", "--temp", "93")
PLAIN = (*SETTINGS, "--yield", "36", "--time", "28", "--score", "7", "--balance", "0")
FAST_BITTER = "\n18\n18\n93\n36\n15\n6\n2\n\n\n"  # settings, cup, time, score, balance, no fault, no note


def logged(bench):
    return bench("shots", "--json").json["data"]["shots"]


def test_a_slip_of_the_pen_is_saved_and_the_command_that_mends_it_works(bench):
    assert "Really?" not in bench("shot", *PLAIN).out
    done = bench("shot", *SETTINGS, "--time", "280", "--score", "7")
    assert done.status == 0
    saved, odd, mend, next_ = done.out.splitlines()
    assert saved.startswith("Saved as shot 2")
    assert odd == "  Really?  280 s is far from the 28 s that earlier shots make likely at this grind."
    assert mend.strip() == (
        "If it choked: `dialopt amend 2 --fault choked`; if it is a slip of the pen: `dialopt amend 2 --time S`; "
        "if it was so, leave it."
    )
    assert next_.startswith("Next: ")
    assert bench("amend", "2", "--time", "28").status == 0
    assert bench("amend", "2", "--fault", "choked").status == 0


def test_an_amended_shot_gets_the_same_look_for_what_is_new_in_it(bench):
    bench("shot", *PLAIN)
    bench("shot", *PLAIN)
    odd = bench("amend", "2", "--time", "280")
    assert "Really?  280 s is far from the 28 s" in odd.out
    assert "--fault choked" not in odd.out, "the cup filled all the same"
    assert odd.out.splitlines()[-1].startswith("Next: ")
    (question,) = bench("amend", "2", "--time", "15", "--json").json["data"]["questions"]
    assert (question["shot"], question["about"], question["fault"]) == (2, "time", "channelled")
    assert "Really?" not in bench("amend", "2", "--score", "6").out, "it was asked about the time already"
    assert "Really?" in bench("amend", "2", "--balance", "2").out, "fast and bitter is another contradiction"
    assert "Really?" not in bench("amend", "2", "--fault", "channelled").out
    same = bench("amend", "2", "--fault", "channelled")
    assert "nothing changed" in same.out
    assert same.out.splitlines()[-1].startswith("Next: ")


def test_the_questions_for_a_program(bench):
    data = bench("shot", *SETTINGS, "--time", "15", "--score", "6", "--balance", "2", "--json").json["data"]
    (question,) = data["questions"]
    assert (question["shot"], question["about"], question["fault"]) == (1, "balance", "channelled")
    assert question["if_fault"] == "dialopt amend 1 --fault channelled"
    assert question["if_slip"] == ["dialopt amend 1 --time S", "dialopt amend 1 --balance -3..3"]
    assert bench("shot", *SETTINGS, "--score", "7", "--json").json["data"]["questions"] == []


def test_dose_and_cup_that_changed_places_are_mended_by_one_command(bench):
    done = bench(
        "shot", "--grind", "18", "--temp", "93", "--dose", "36", "--yield", "18", "--time", "28", "--score", "7"
    )
    odd, mend = done.out.splitlines()[1:3]
    assert odd == "  Really?  18 g in the cup from 36 g of coffee: have the two changed places?"
    assert mend.strip() == "If they have: `dialopt amend 1 --dose G --yield G`; if it was so, leave it."
    assert done.out.count("Really?") == 1
    (question,) = bench("amend", "1", "--note", "x", "--dose", "36", "--yield", "18.1", "--json").json["data"][
        "questions"
    ]
    assert question["if_slip"] == ["dialopt amend 1 --dose G --yield G"]
    assert "Really?" not in bench("amend", "1", "--dose", "18", "--yield", "36").out


def test_off_the_dial(bench):
    done = bench("shot", "--grind", "180", "--dose", "18", "--temp", "93", "--json").json["data"]
    assert done["off_dial"] == ["grind"]
    assert [question["about"] for question in done["questions"]] == ["grind"]


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
    assert "while fast shots tend to be sour" in done.out
    (shot,) = logged(bench)
    assert (shot["fault"], shot["time_s"], shot["balance"]) == (fault, time, balance)
    assert ("Amended shot 1" in done.out) == (shot["revision"] == 2)


def test_what_was_mended_raises_no_further_question(bench):
    for _ in range(3):
        bench("shot", *PLAIN)
    done = bench("sitting", typed="y\n" + FAST_BITTER + "n\ny\n27\n\nstop\n")
    assert done.out.count("Was it a slip of the pen?") == 1
    left = bench("sitting", typed="y\n" + FAST_BITTER + "n\nn\nn\nn\nstop\n")
    assert left.out.count("Was it a slip of the pen?") == 2


def test_undo_in_a_sitting_takes_back_the_amendment_first_and_then_the_shot(bench):
    done = bench("sitting", typed=FAST_BITTER + "y\nundo\nundo\nstop\n")
    assert "Took back the amendment of shot 1" in done.out
    assert "Took back shot 1" in done.out
    assert logged(bench) == []


def test_an_import_counts_and_lists_them(bench, tmp_path):
    rows = ["18,18,93,36,28,7,0", "18,18,93,36,27,7,0", "18,18,93,63,15,7,2", "18,18,93,36,28,10,3"]
    sheet = tmp_path / "in.csv"
    sheet.write_text("grind,dose_g,temp_c,yield_g,time_s,score,balance\n" + "\n".join(rows) + "\n")
    done = bench("import", str(sheet), "--json").json
    assert "2 of them want a second look" in done["did"]
    asked = [(question["shot"], question["about"]) for question in done["data"]["questions"]]
    assert asked == [(3, "balance"), (3, "yield"), (3, "time"), (4, "score")]
    bench("undo")
    text = bench("import", str(sheet)).out
    assert "Really?  shot 7: 63 g in the cup" in text
    assert "dialopt amend NUMBER" in text.splitlines()[-1]
    more = "".join(f"18,18,93,36,{40 + 40 * place},7,0\n" for place in range(1, 9))
    sheet.write_text("grind,dose_g,temp_c,yield_g,time_s,score,balance\n" + more)
    many = bench("import", str(sheet)).out
    assert "more; `--json` lists them all" in many


def test_an_import_without_oddities_says_nothing_of_them(bench, tmp_path):
    sheet = tmp_path / "in.csv"
    sheet.write_text("grind,dose_g,temp_c,score\n18,18,93,7\n")
    done = bench("import", str(sheet))
    assert "second look" not in done.out
    assert "amend" not in done.out


def test_no_way_to_the_next_recipe_is_told_from_settings_that_are_a_slip_of_the_pen(bench):
    bench("shot", *PLAIN)
    assert "  Change   " in bench("next").out
    slipped = bench("shot", "--grind", "180", *SETTINGS[2:], "--time", "28", "--score", "7")
    assert "isn't on the dial" in slipped.out
    said = bench("next")
    assert "  Set      " in said.out
    assert "  Change   " not in said.out
    assert "  Purge    " not in said.out
    assert bench("next", "--json").json["data"]["change"] is None
