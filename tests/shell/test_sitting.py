"""The guided loop, with somebody typing into a pipe."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from datetime import datetime

import pytest

from dialopt.logbook.book import Logbook
from tests.shell.stub import advise

ENTRY = "\n\n\n36\n24\n6\n-1\n\n\n"  # settings as suggested, cup, time, score, balance, no fault, no note


def sat(bench, typed, **surroundings):
    """What a sitting tells a program, and the conversation."""
    done = bench("sitting", "--json", typed=typed, **surroundings)
    assert done.status == 0, done.err
    return done.json["data"], done.err


@pytest.mark.usefixtures("engine")
def test_one_shot_and_stop(bench):
    done = bench("sitting", typed="\n" + ENTRY + "stop\n")
    assert done.status == 0, done.err
    assert "manual" in done.out.splitlines()[0]
    order = ("Pull this now", "press Enter", "Saved as shot 1", "Pull this now", "Sitting over. 1 shot logged")
    assert re.search(".*".join(order), done.out, re.DOTALL)
    (shot,) = bench.log()
    assert (shot["yield_g"], shot["time_s"], shot["score"], shot["balance"]) == (36.0, 24.0, 6.0, -1.0)


def test_mistakes_are_told_and_asked_again(bench):
    typed = "\n" + "abc\n80\nn\n\n\n\n" + "36\n-3\n24\nnan\n6,5\n-9\n-1\ngremlins\nchoked\n\n" + "stop\n"
    _, said = sat(bench, typed)
    for told in ("'abc'", "80 isn't on the dial", "time can't be -3", "'nan'", "balance can't be -9", "'gremlins'"):
        assert told in said
    (shot,) = bench.log()
    assert (shot["score"], shot["fault"]) == (6.5, "choked")


def test_undo_takes_back_an_entry_of_this_sitting_and_no_other(bench):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "6")
    told, said = sat(bench, "undo\n\n" + ENTRY + "undo\nundo\nstop\n")
    assert told["numbers"] == []
    assert said.count("The last act was shot 1, not of this sitting; `dialopt undo` would take it back") == 2
    assert said.count("Took back shot 2") == 1
    assert [shot["number"] for shot in bench.log()] == [1]
    bench("undo")
    assert "nothing to take back" in sat(bench, "undo\nstop\n")[1]


def test_with_json_the_conversation_goes_to_standard_error(bench):
    told, said = sat(bench, "\n" + ENTRY + "stop\n")
    assert (told["numbers"], told["advice"]["pairing"]["shots"]) == ([1], 1)
    assert "Pull this now" in said


def test_a_half_told_shot_is_not_logged(bench):
    assert sat(bench, "\n\n\n\n36\n")[0]["numbers"] == []
    assert bench.log() == []


def test_a_word_on_caffeine_after_three_shots_and_in_pregnancy_with_each(bench):
    said = sat(bench, ("\n" + ENTRY) * 3 + "stop\n")[1]
    assert said.count("EFSA") == 1
    assert said.index("Saved as shot 3") < said.index("EFSA")
    bench("caffeine", "--pregnant", "yes")
    told, said = sat(bench, ("\n" + ENTRY) * 2 + "stop\n")
    assert said.count("EFSA") == 2
    assert (told["caffeine"]["pregnant"], told["caffeine"]["sitting"]["shots"]) == (True, 5)
    assert "midwife" in bench("sitting", typed="stop\n").out.splitlines()[-2], "at the end, as the day may be past"


def test_it_ends_when_it_is_settled(bench):
    def soon(pairing, shots, **asked):
        return advise(pairing, shots, settled=bool(shots), **asked)

    told, said = sat(bench, ("\n" + ENTRY) * 3, advise=soon)
    assert (told["numbers"], told["advice"]["settled"], said.count("Pull this now")) == ([1], True, 1)
    told, said = sat(bench, "n\n", advise=soon)
    assert (told["numbers"], "To drink, the sweet spot:" in said) == ([], True)
    assert sat(bench, "y\n\n" + ENTRY + "stop\n", advise=soon)[0]["numbers"] == [2], "it goes on all the same"


def test_a_saved_shot_survives_an_engine_that_fails(bench):
    def fails(pairing, shots, **asked):
        if shots:
            raise RuntimeError("out of steam")
        return advise(pairing, shots, **asked)

    done = bench("sitting", typed="\n" + ENTRY, advise=fails)
    assert done.status == 1
    assert "Saved as shot 1" in done.out
    assert len(bench.log()) == 1


def test_ctrl_c_leaves_what_was_confirmed(bench):
    child = subprocess.Popen(
        [sys.executable, "-m", "dialopt", "sitting"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        encoding="utf-8",
        # Whoever runs the tests may have the interrupt ignored.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    assert child.stdin is not None
    assert child.stdout is not None
    child.stdin.write("\n" + ENTRY + "\n\n")
    child.stdin.flush()
    seen = ""
    while "Saved as shot 1" not in seen or not seen.endswith("16.5 to 20 g in steps of 0.1 (last"):
        letter = child.stdout.read(1)
        assert letter, seen
        seen += letter
    child.send_signal(signal.SIGINT)
    _, err = child.communicate(timeout=60)
    assert child.returncode == 130
    assert "Traceback" not in err
    assert "Interrupted" in err
    assert len(bench.log()) == 1


def test_undo_takes_back_the_act_that_was_shown_and_no_other(bench, monkeypatch):
    undo = Logbook.undo

    def later(book, pairing_id, act_id=None):
        with Logbook.open(book.path.parent, now=datetime.now) as other:
            other.log(pairing_id, book.shots(pairing_id)[0])
        return undo(book, pairing_id, act_id)

    monkeypatch.setattr(Logbook, "undo", later)
    done = bench("sitting", typed="\n" + ENTRY + "undo\nstop\n")
    assert "meanwhile; nothing was taken back" in done.out
    assert len(bench.log()) == 2


@pytest.mark.parametrize("answer", ["36g", "7,5", "sour", "yeah", "undo"])
def test_a_question_of_yes_or_no_takes_no_other_answer_for_no(bench, answer):
    _, said = sat(bench, f"\n50\n{answer}\nY\n\n\n36\n27\n7\n0\n\n\nstop\n")
    assert f"answer can't be {answer!r}; it takes y or n, and Enter means no." in said
    assert said.count("Was it really that? [y/N]") == 2
    assert bench.log()[0]["grind"] == 50.0


@pytest.mark.parametrize(("answer", "grind"), [("yes", 50.0), ("YES", 50.0), ("n", 18.0), ("No", 18.0), ("", 18.0)])
def test_yes_no_and_enter_are_answers(bench, answer, grind):
    again = "" if grind == 50.0 else "18\n"
    _, said = sat(bench, f"\n50\n{answer}\n{again}\n\n36\n27\n7\n0\n\n\nstop\n")
    assert "answer can't be" not in said
    assert bench.log()[0]["grind"] == grind


def test_no_means_that_nothing_went_wrong(bench):
    for nothing in ("n", "no", "None"):
        sat(bench, f"\n\n\n\n36\n24\n6\n-1\n{nothing}\n\nstop\n")
    assert [shot["fault"] for shot in bench.log()] == [None] * 3


def test_only_enter_says_that_it_is_pulled(bench):
    told, said = sat(bench, "14\nundo it\n\n" + ENTRY + "stop\n")
    assert (told["numbers"], said.count("Enter alone says that it is pulled")) == ([1], 2)
