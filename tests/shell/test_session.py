"""The guided loop, with somebody typing into a pipe."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from datetime import datetime

import pytest

from dialopt.logbook.book import Logbook
from tests.shell.stub import advise

ENTRY = "\n\n\n36\n24\n6\n-1\n\n\n"  # settings as suggested, cup, time, score, balance, no fault, no note


def logged(bench):
    return bench("shots", "--json").json["data"]["shots"]


@pytest.mark.usefixtures("engine")
def test_one_shot_and_stop(bench):
    done = bench("sitting", typed="\n" + ENTRY + "stop\n")
    assert done.status == 0, done.err
    order = ["Pull this now", "press Enter", "Saved as shot 1", "Pull this now", "Sitting over. 1 shot logged"]
    places = [done.out.index(order[0]), *(done.out.index(text) for text in order[1:3])]
    assert places == sorted(places)
    assert done.out.count("Pull this now") == 2
    assert order[-1] in done.out
    assert "manual" in done.out.splitlines()[0]
    (shot,) = logged(bench)
    assert (shot["yield_g"], shot["time_s"], shot["score"], shot["balance"]) == (36.0, 24.0, 6.0, -1.0)


def test_mistakes_are_told_and_asked_again(bench):
    typed = "\n" + "abc\n80\nn\n\n\n\n" + "36\n-3\n24\nnan\n6,5\n-9\n-1\ngremlins\nchoked\n\n" + "stop\n"
    done = bench("sitting", typed=typed)
    assert done.status == 0
    for told in ("'abc'", "80 isn't on the dial", "time can't be -3", "'nan'", "balance can't be -9", "'gremlins'"):
        assert told in done.out
    (shot,) = logged(bench)
    assert (shot["score"], shot["fault"]) == (6.5, "choked")


def test_undo_takes_the_entry_back_and_suggests_again(bench):
    done = bench("sitting", "--json", typed="\n" + ENTRY + "undo\nstop\n")
    assert done.json["data"]["numbers"] == []
    assert "Took back shot 1" in done.err
    assert logged(bench) == []


def test_undo_keeps_what_was_there_before_the_sitting(bench):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "6")
    done = bench("sitting", typed="undo\n\n" + ENTRY + "undo\nundo\nstop\n")
    assert done.status == 0
    assert done.out.count("The last act was shot 1, not of this sitting; `dialopt undo` would take it back") == 2
    assert done.out.count("Took back shot 2") == 1
    assert [shot["number"] for shot in logged(bench)] == [1]
    bench("undo")
    assert "nothing to take back" in bench("sitting", typed="undo\nstop\n").out


def test_with_json_the_conversation_goes_to_standard_error(bench):
    done = bench("sitting", "--json", typed="\n" + ENTRY + "stop\n")
    assert done.json["data"]["numbers"] == [1]
    assert done.json["data"]["advice"]["pairing"]["shots"] == 1
    assert "Pull this now" in done.err


def test_a_half_told_shot_is_not_logged(bench):
    assert bench("sitting", typed="\n\n\n\n36\n").status == 0
    assert logged(bench) == []


def test_a_word_on_caffeine_after_three_shots(bench):
    done = bench("sitting", typed=("\n" + ENTRY) * 3 + "stop\n")
    assert done.out.count("EFSA") == 1
    assert done.out.index("Saved as shot 3") < done.out.index("EFSA")
    assert "this sitting 3 shots" in done.out


def test_a_word_on_caffeine_with_each_shot_in_pregnancy(bench):
    bench("caffeine", "--pregnant", "yes")
    done = bench("sitting", typed=("\n" + ENTRY) * 2 + "stop\n")
    assert done.out.count("EFSA") == 2
    assert done.out.count("midwife") == 3, "with each shot, and once at the end, as the day may be past its limit"
    again = bench("sitting", "--json", typed="stop\n").json["data"]["caffeine"]
    assert (again["pregnant"], again["sitting"]["shots"]) == (True, 2)


def test_it_ends_when_it_is_settled(bench):
    def soon(pairing, shots, **asked):
        return advise(pairing, shots, settled=bool(shots), **asked)

    done = bench("sitting", typed=("\n" + ENTRY) * 3, advise=soon)
    assert "1 shot logged" in done.out
    assert "dialopt report" in done.out
    assert done.out.count("Pull this now") == 1
    again = bench("sitting", typed="n\n", advise=soon)
    assert "Pull this now" not in again.out
    assert "To drink, the sweet spot:" in again.out
    assert "No shots logged" in again.out
    once_more = bench("sitting", typed="y\n\n" + ENTRY + "stop\n", advise=soon)
    assert "1 shot logged" in once_more.out


def test_a_saved_shot_survives_an_engine_that_fails(bench):
    def fails(pairing, shots, **asked):
        if shots:
            raise RuntimeError("out of steam")
        return advise(pairing, shots, **asked)

    done = bench("sitting", typed="\n" + ENTRY, advise=fails)
    assert done.status == 1
    assert "Saved as shot 1" in done.out
    assert len(logged(bench)) == 1


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
    assert len(logged(bench)) == 1


def test_undo_takes_back_the_act_that_was_shown_and_no_other(bench, monkeypatch):
    undo = Logbook.undo

    def later(book, pairing_id, act_id=None):
        with Logbook.open(book.path.parent, now=datetime.now) as other:
            other.log(pairing_id, book.shots(pairing_id)[0])
        return undo(book, pairing_id, act_id)

    monkeypatch.setattr(Logbook, "undo", later)
    done = bench("sitting", typed="\n" + ENTRY + "undo\nstop\n")
    assert "meanwhile; nothing was taken back" in done.out
    assert len(logged(bench)) == 2


@pytest.mark.parametrize("answer", ["36g", "7,5", "sour", "yeah", "undo"])
def test_a_question_of_yes_or_no_takes_no_other_answer_for_no(bench, answer):
    done = bench("sitting", typed=f"\n50\n{answer}\nY\n\n\n36\n27\n7\n0\n\n\nstop\n")
    assert f"answer can't be {answer!r}; it takes y or n, and Enter means no." in done.out
    assert done.out.count("Was it really that? [y/N]") == 2
    assert logged(bench)[0]["grind"] == 50.0


@pytest.mark.parametrize(("answer", "grind"), [("yes", 50.0), ("YES", 50.0), ("n", 18.0), ("No", 18.0), ("", 18.0)])
def test_yes_no_and_enter_are_answers(bench, answer, grind):
    again = "" if grind == 50.0 else "18\n"
    done = bench("sitting", typed=f"\n50\n{answer}\n{again}\n\n36\n27\n7\n0\n\n\nstop\n")
    assert "answer can't be" not in done.out
    assert logged(bench)[0]["grind"] == grind


def test_no_means_that_nothing_went_wrong(bench):
    for nothing in ("n", "no", "None"):
        done = bench("sitting", typed="\n" + "\n\n\n" + f"36\n24\n6\n-1\n{nothing}\n\n" + "stop\n")
        assert "1 shot logged" in done.out
        assert logged(bench)[-1]["fault"] is None


def test_only_enter_says_that_it_is_pulled(bench):
    done = bench("sitting", typed="14\nundo it\n\n" + ENTRY + "stop\n")
    assert done.out.count("Enter alone says that it is pulled") == 2
    assert "1 shot logged" in done.out


def test_dose_and_cup_that_changed_places_are_turned_round_on_a_yes(bench):
    entry = "\n36\ny\n\n18\n28\n7\n0\n\n\n"  # grind, dose that isn't on the dial, temperature, cup, time, score …
    done = bench("sitting", typed="\n" + entry + "y\nstop\n")
    assert "18 g in the cup from 36 g of coffee: have the two changed places?" in done.out
    assert "Amended shot 1: " in done.out
    (shot,) = bench("shots", "--json").json["data"]["shots"]
    assert (shot["dose_g"], shot["yield_g"]) == (18, 36)
    again = bench("sitting", typed="\n" + entry + "n\nstop\n")
    assert "Amended" not in again.out
