from __future__ import annotations

from datetime import datetime, timedelta

import pytest

SHOT = ("shot", "--grind", "18", "--dose", "18", "--temp", "93")


def test_a_day_without_shots(run):
    done = run("caffeine")
    assert done.status == 0, done.err
    assert "no shots today" in done.out
    assert "below the limits" in done.out


def test_the_shots_of_every_pairing_count(bench):
    bench(*SHOT)
    bench("bean", "attic light")
    bench("pairing")
    bench(*SHOT)
    data = bench("caffeine", "--species", "arabica", "--json").json["data"]
    for part in ("sitting", "day"):
        assert (data[part]["shots"], data[part]["low_mg"], data[part]["high_mg"]) == (2, 144.0, 504.0)
    assert data["sitting"]["against_limit"] == "maybe past"
    assert data["limits"] == {"at_once_mg": 200, "a_day_mg": 400, "source": "EFSA Journal 2015;13(5):4102"}
    text = bench("caffeine", "--species", "arabica")
    assert "2 shots, 140 to 510 mg" in text.out
    assert text.out.count("EFSA") == 1
    assert "Sip and spit" in text.out
    assert "ask a doctor" in text.out


def test_each_bean_counts_as_what_it_is(bench):
    bench(*SHOT)
    assert "species unknown" in bench("caffeine").out
    assert "dialopt bean NAME --species KIND" in bench("caffeine").out.splitlines()[-1]
    assert "decaf" in bench("bean", "attic light", "--species", "Decaf").out
    bench("pairing")
    bench(*SHOT)
    told = bench("caffeine", "--species", "arabica")
    assert "2 shots, 70 to 270 mg; if drunk to the end, Arabica and decaffeinated" in told.out
    assert "dialopt bean" not in told.out
    day = bench("caffeine", "--json").json["data"]["day"]
    assert (day["low_mg"], day["high_mg"], day["species"]) == (72.0, 468.0, ["decaf", "unknown"])
    bench("bean", "harbour fog", "--species", "robusta")
    bench("use", "1")
    bench("pairing", "--amend")
    assert bench("caffeine", "--json").json["data"]["species"] == ["decaf", "robusta"]
    assert bench("bean", "harbour fog", "--species", "liberica").status == 4


def test_yesterday_s_shots_and_those_taken_back_do_not(bench):
    at = datetime.now() - timedelta(days=1, hours=3)
    bench(*SHOT, "--at", f"{at:%Y-%m-%dT%H:%M}")
    bench(*SHOT)
    bench("undo")
    assert bench("caffeine", "--json").json["data"]["day"]["shots"] == 0


def test_pregnancy_is_remembered_and_taken_back(bench):
    assert "Pregnancy is set." in bench("caffeine", "--pregnant", "yes").out
    bench(*SHOT)
    told = bench("caffeine")
    assert "In pregnancy up to 200 mg a day" in told.out
    assert "midwife" in told.out
    assert bench("caffeine", "--json").json["data"]["limits"]["a_day_mg"] == 200
    bench("caffeine", "--pregnant", "no")
    assert "midwife" not in bench("caffeine").out


def test_next_says_unasked_when_the_day_is_past_its_limit(bench):
    """By the low end, a shot of 18 g holds 72 mg: six are past 400 mg, five are not."""
    for _ in range(5):
        bench(*SHOT)
    assert "Sip and spit" not in bench("next").out
    bench(*SHOT)
    assert "Mind     The day is past 400 mg even by the low end" in bench("next").out
    told = bench("sitting", typed="stop\n").out
    assert told.count("The day is past 400 mg") == 2, "when it begins and when it ends"


def test_in_pregnancy_next_says_so_when_the_day_may_be_past_its_limit(bench):
    bench("caffeine", "--pregnant", "yes")
    assert "midwife" not in bench("next").out
    bench(*SHOT)
    assert "Mind     The day may be past 200 mg already" in bench("next").out


@pytest.mark.parametrize("arguments", [("--species", "liberica"), ("--pregnant", "maybe")])
def test_a_mistyped_option_is_refused_and_nothing_set(run, arguments):
    done = run("caffeine", "--pregnant", "yes", *arguments)
    assert done.status == 4
    assert "one of" in done.err
    assert run("caffeine", "--json").json["data"]["pregnant"] is False


@pytest.mark.usefixtures("engine")
def test_a_shot_logged_under_what_somebody_else_sent_was_drunk_here(bench, tmp_path):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "7")
    sent, there = tmp_path / "sent.json", ("--home", str(tmp_path / "another home"))
    bench("share", str(sent))
    bench("receive", str(sent), "--from", "Ada", *there)
    assert bench("caffeine", "--json", *there).json["data"]["day"]["shots"] == 0, "Ada drank it"
    bench("use", "1", *there)
    logged = bench("shot", "--score", "6", *there)
    assert "Mind     kit and scores of this pairing are Ada's" in logged.out
    assert bench("caffeine", "--json", *there).json["data"]["day"]["shots"] == 1
    assert bench("palate", *there).out.startswith("Ada's palate with ")
