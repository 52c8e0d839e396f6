from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys

import pytest

import dialopt
from dialopt.logbook.book import Logbook

KEYS = {"ok", "command", "did", "next_step", "data", "error", "dialopt"}


@pytest.mark.usefixtures("engine")
def test_every_quick_command_answers_in_the_envelope(bench, tmp_path):
    file = str(tmp_path / "shots.csv")
    for command in (
        *("kit", "water --hardness 80", "prepare", "caffeine", "pairings", "use 1"),
        *("shot --grind 18 --dose 18 --temp 93 --score 6.5", "amend 1 --score 7", "shots --history", f"export {file}"),
        *("undo", "check", "backup", "next", "sweet-spot", "palate", "compare 18:18:93 next"),
        *("serve triangle", "judge T6-KQ7F4 132213"),
    ):
        done = bench(*command.split(), "--json")
        assert (done.status, done.err) == (0, ""), (command, done.out)
        whole = done.json
        assert set(whole) == KEYS
        assert (whole["ok"], whole["command"], whole["error"]) == (True, command.split()[0], None)
        assert whole["did"].endswith((".", ":"))
        assert whole["data"]
        assert whole["dialopt"] == dialopt.__version__


def test_json_may_stand_before_the_command(bench):
    assert bench("--json", "kit").json["command"] == "kit"


@pytest.mark.usefixtures("engine")
def test_numbers_are_numbers(bench):
    shot = bench.data("shot", "--grind", "18", "--dose", "18,2", "--temp", "93", "--score", "6,5")["shot"]
    assert (shot["grind"], shot["dose_g"], shot["score"], shot["number"]) == (18.0, 18.2, 6.5, 1)
    assert shot["yield_g"] is None
    advice = bench.data("next")
    assert isinstance(advice["expected"]["score"]["mean"], float)
    assert advice["settled"] is False
    assert advice["recipe"]["yield_g"] == round(advice["recipe"]["dose_g"] * 2, 1)


@pytest.mark.usefixtures("engine")
@pytest.mark.parametrize(
    ("status", "kind", "commands"),
    [
        (2, "wrong_use", ("", "nxt", "next --wrong", "grinder x", "amend one", "amend 1", "shot", "kit --home=")),
        (2, "wrong_use", ("serve", "serve triangle --expect A", "serve paired --code T6-KQ7F4")),
        (2, "wrong_use", ("serve --servings 20 --code T6-KQ7F4", "water --magnesium 10")),
        (3, "not_found", ("use nobody's", "undo", "import not-there.csv", "compare 7")),
        (4, "bad_value", ("shot --grind x", "next --seed -1", "compare 18:18", "compare 41:18:93")),
        (4, "bad_value", ("serve triangle --servings 0", "serve paired --servings 5", "serve paired --expect C")),
        (4, "bad_value", ("judge T6-KQ7F5 132213", "judge T6-KQ7F4 13221", "judge T6-KQ7F4 left")),
        (4, "refused", ("report --out no/such/folder.html",)),
    ],
)
def test_each_error_in_the_envelope_and_as_a_sentence(bench, status, kind, commands):
    for command in commands:
        done, plain = bench(*command.split(), "--json"), bench(*command.split())
        assert (done.status, plain.status, done.err) == (status, status, ""), command
        whole = done.json
        assert set(whole) == KEYS
        assert (whole["ok"], whole["did"], whole["data"]) == (False, None, {})
        assert (whole["error"]["kind"], whole["error"]["status"]) == (kind, status)
        if command:
            assert plain.out == ""
            assert plain.err.splitlines()[0] == whole["error"]["message"]
        assert "Traceback" not in plain.err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("amend", "x"), "NUMBER takes a whole number."),
        (("next", "--seed", "x"), "--seed takes a whole number."),
        (("amend",), "`dialopt amend` needs NUMBER."),
        (("receive", "x"), "`dialopt receive` needs --from."),
        (("shot", "--grind"), "--grind needs a value after it."),
        (("shots", "of", "mine"), "`dialopt shots` can't make anything of of mine."),
        (("--version", "next"), "--version stands alone, without a command."),
    ],
)
def test_wrong_use_in_words_of_our_own(bench, arguments, sentence):
    plain, whole = bench(*arguments), bench("--json", *arguments)
    assert (plain.status, whole.status) == (2, 2)
    assert plain.err.splitlines()[0] == whole.json["error"]["message"] == sentence
    assert whole.json["error"]["kind"] == "wrong_use"


def test_the_version_is_a_line_or_the_envelope(run):
    assert run("--version").out.splitlines()[0] == f"dialopt {dialopt.__version__}"
    whole = run("--version", "--json").json
    assert (whole["ok"], whole["data"]) == (True, {"version": dialopt.__version__})


def test_no_pairing_says_what_to_do_next(run):
    for command in ("shots", "prepare", "next"):
        done = run(command, "--json")
        assert done.status == 3
        assert "dialopt grinder" in done.json["next_step"]


def test_a_logbook_from_a_newer_version(bench, home):
    db = sqlite3.connect(home / "logbook.db")
    db.execute("PRAGMA user_version = 99")
    db.close()
    assert bench.fails("next") == (5, "logbook_too_new")


def test_a_fault_is_one_sentence_and_the_traceback_on_demand(bench, monkeypatch):
    def broken(self, *_):
        raise RuntimeError("wires\ncrossed")

    monkeypatch.setattr(Logbook, "pairings", broken)
    done = bench("pairings")
    assert done.status == 1
    assert "Traceback" not in done.err
    assert "--debug" in done.err
    whole = bench("pairings", "--json")
    assert (whole.status, whole.json["error"]["kind"]) == (1, "fault")
    assert "wires crossed" in whole.json["error"]["message"]
    assert "Traceback" in bench("pairings", "--debug").err
    monkeypatch.setenv("DIALOPT_DEBUG", "1")
    assert "Traceback" in bench("pairings").err


def test_home_may_be_named_before_or_after_the_command(bench, home, tmp_path):
    other = tmp_path / "elsewhere"
    for arguments in (("--home", str(other), "kit", "--json"), ("kit", "--json", "--home", str(other))):
        whole = bench(*arguments).json
        assert whole["command"] == "kit"
        assert whole["data"]["logbook"] == str(other / "logbook.db")
        assert whole["data"]["pairing"] is None
    assert bench.data("kit")["logbook"] == str(home / "logbook.db")


def test_the_object_is_ascii_on_one_line(bench):
    done = bench("bean", "Žluťoučký kůň", "--json")
    assert done.out.isascii()
    assert done.out.count("\n") == 1
    assert json.loads(done.out)["data"]["bean"]["name"] == "Žluťoučký kůň"


HOSTILE = "\x1b[2J\x1b]8;;http://example.invalid\x07\x9b31m\u202e\u2066\x07\r\x7f<b>"


def test_what_steers_a_terminal_never_reaches_it(bench):
    note = HOSTILE + "plum"
    name = "harbour \x9b31m\u202e fog"  # control characters of the first block are refused in names
    for words in (
        ("bean", name, "--roaster", name),
        ("grinder", name, "--grind", "0:40:1", "--finer", "down", "--burrs", name),
        ("machine", name, "--temp", "93"),
        ("basket", name, "--dose", "18"),
        ("pairing", "--water", name),
        ("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "7", "--note", note),
        *(("shots", "--history"), ("kit",), ("pairings",), ("prepare",), ("next",), ("use", name)),
        ("serve", "paired", "--a", name, "--b", name),
        *(("use", HOSTILE), ("serve", HOSTILE), (HOSTILE,), ("import", HOSTILE), ("bean", HOSTILE)),
        *(("shot", f"--{HOSTILE}"), ("shot", "--score", HOSTILE), ("shot", "--score", HOSTILE, "--debug")),
        ("kit", "--home", "~" + HOSTILE),
    ):
        for more in ((), ("--json",)):
            done = bench(*words, *more)
            assert "fault of its own" not in done.err
            shown = done.out + done.err
            assert shown
            assert not [letter for letter in shown if not letter.isprintable() and letter != "\n"], words
    assert bench.data("shots")["shots"][0]["note"] == note


def test_bytes_that_are_no_text_are_read_as_a_question_mark(bench, home):
    typed = b"18\n18\n93\n36\n27\n7\n0\n\ns\xfc\xdf\nstop\n"
    done = subprocess.run(
        [sys.executable, "-m", "dialopt", "sitting"],
        input=b"\n" + typed,
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "utf-8:strict"},
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    assert b"Saved as shot" in done.stdout
    notes = [shot["note"] for shot in bench.data("shots")["shots"]]
    assert notes == ["s\ufffd\ufffd"]


def test_a_command_that_is_none_is_not_taken_for_a_later_word(run):
    done = run("nonsense", "next", "--json")
    assert (done.status, done.json["command"]) == (2, None)
    assert "`dialopt --help`" in done.json["next_step"]
