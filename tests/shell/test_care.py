"""Water, what to see to before pulling, and caffeine."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest


# 100 ppm as each unit: 1 °dH 17.848, 1 °fH 10, 1 °Clark 14.254, 1 gpg 17.118, 1 mmol/L 100.09 ppm CaCO3 (computed).
@pytest.mark.parametrize(
    "amount", ["100", "100 ppm", "5,603 °dH", "5.603dH", "10 °fH", "7.016 °Clark", "5.842 gpg", "0.9991 mmol/L"]
)
def test_the_same_water_in_any_unit(run, amount):
    finding = run("water", "--hardness", amount, "--json").json["data"]["findings"]["hardness_ppm"]
    assert finding["value"] == pytest.approx(100, rel=1e-3)
    assert finding["state"] == "within"
    assert "second-hand" in finding["source"]


@pytest.mark.parametrize("amount", ["50", "2.801 dKH", "0.9992 meq/L", "60.96 mg/L HCO3"])
def test_alkalinity_in_its_own_units(run, amount):
    finding = run("water", "--alkalinity", amount, "--json").json["data"]["findings"]["alkalinity_ppm"]
    assert finding["value"] == pytest.approx(50, rel=1e-3)
    assert finding["state"] == "within"


def test_out_of_range_says_what_it_does(run):
    done = run("water", "--hardness", "14 °dH", "--alkalinity", "120")
    assert done.status == 0, done.err
    assert done.out.startswith("Judged the water: hardness and alkalinity out of range.")
    assert "Hardness 250 ppm CaCO3: too high for 50 to 175" in done.out
    assert "scale in boiler" in done.out
    assert "common practice" in done.out
    assert done.out.splitlines()[-1].startswith("Next: try another water")


def test_water_that_fits_needs_no_more_words(run):
    done = run("water", "--hardness", "80", "--alkalinity", "50")
    assert "all that is given fits" in done.out
    assert "taste" not in done.out
    assert "dialopt prepare" in done.out


def test_a_bottle_s_label(run):
    label = ("--calcium", "12", "--magnesium", "3", "--sodium", "45", "--solids", "90", "--ph", "7,2")
    done = run("water", *label, "--json")
    found = done.json["data"]["findings"]
    # 12 × 2.4974 + 3 × 4.1181 ppm CaCO3 (computed)
    assert found["hardness_ppm"]["value"] == pytest.approx(42.32, abs=0.01)
    assert found["calcium_ppm"]["value"] == pytest.approx(29.97, abs=0.01)
    assert {name for name, finding in found.items() if finding["state"] != "within"} == {
        "hardness_ppm",
        "sodium_mg_per_l",
    }


def test_calcium_alone_is_no_total_hardness(run):
    assert set(run("water", "--calcium", "20", "--json").json["data"]["findings"]) == {"calcium_ppm"}


def test_a_unit_with_two_meanings_gets_a_word(run):
    assert "say meq/L" in run("water", "--alkalinity", "0.5 mmol/L").out
    assert "say meq/L" not in run("water", "--alkalinity", "50").out


@pytest.mark.parametrize(
    ("arguments", "status", "said"),
    [
        ((), 2, "strip or label"),
        (("--magnesium", "3"), 2, "Magnesium alone isn't judged; give --calcium too"),
        (("--hardness", "4 spoons"), 4, "gpg"),
        (("--hardness", "80 mg/L"), 4, "mg/L CaCO3"),
        (("--alkalinity", "4 spoons"), 4, "dKH"),
        (("--hardness", "much"), 4, "as 4 °dH or 70 ppm"),
        (("--hardness", "-3"), 4, "0 to 10,000"),
        (("--ph", "15"), 4, "0 to 14"),
        (("--sodium", "some"), 4, "plain number"),
    ],
)
def test_what_is_no_water_is_refused(run, arguments, status, said):
    done = run("water", *arguments)
    assert done.status == status
    assert said in done.err
    assert "Traceback" not in done.err


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--solids", "1500", "Dissolved solids 1500 mg/L: too high"),
        ("--solids", "10000", "Dissolved solids 10000 mg/L: too high"),
        ("--hardness", "1234", "Hardness 1234 ppm CaCO3: too high"),
        ("--hardness", "175.4", "Hardness 175.4 ppm CaCO3: too high for 50 to 175"),
        ("--hardness", "175.0004", "Hardness 175.0004 ppm CaCO3: too high for 50 to 175"),
        ("--hardness", "49.96", "Hardness 49.96 ppm CaCO3: too low for 50 to 175"),
        ("--hardness", "174.6", "Hardness 175 ppm CaCO3: within 50 to 175"),
        ("--hardness", "4 °dH", "Hardness 71.4 ppm CaCO3: within"),
        ("--ph", "6.4996", "pH 6.4996: too low for 6.5 to 7.5"),
        ("--ph", "7.25", "pH 7.25: within"),
        ("--sodium", "0.0000001", "Sodium 0 mg/L: within"),
        ("--sodium", "30.04", "Sodium 30.04 mg/L: too high for 0 to 30"),
        ("--alkalinity", "0.00001", "Alkalinity 0 ppm CaCO3: too low for 40"),
    ],
)
def test_an_amount_is_plain_and_never_looks_like_the_limit_that_it_is_beyond(run, option, value, said):
    assert f"  {said}" in run("water", option, value).out


def days_ago(days: int) -> str:
    return (date.today() - timedelta(days=days)).isoformat()


def test_before_the_first_shot(bench):
    done = bench("prepare")
    assert done.status == 0, done.err
    assert "no roasting date noted" in done.out
    assert "bench basket takes 16.5 to 20 g" in done.out
    for thing in ("distribution", "tamp", "warm-up", "cup", "yield", "basket", "water"):
        assert f"\n    {thing} " in done.out
    assert "Milk" not in done.out
    assert done.out.splitlines()[-1].startswith("Next: ")


def test_without_a_pairing_it_says_what_to_do(run):
    done = run("prepare")
    assert done.status == 3
    assert "dialopt grinder" in done.err


def test_milk_for_a_pairing_with_milk_only(bench):
    bench("pairing", "--drink", "milk")
    done = bench("prepare")
    assert "60 to 65 °C" in done.out
    assert "60 °C burns in under 5 seconds" in done.out
    assert "too hot to hold" in bench("next").out
    assert set(bench("prepare", "--json").json["data"]["milk"]) >= {"stop", "scalds", "wand"}
    bench("pairing", "--drink", "straight")
    assert "too hot to hold" not in bench("next").out
    assert bench("prepare", "--json").json["data"]["milk"] is None


@pytest.mark.parametrize(
    ("days", "stage", "said"),
    [(2, "young", "too early"), (12, "ready", "in the window"), (60, "fading", "fading")],
)
def test_every_command_that_shows_the_bag_says_how_fresh_it_is(bench, days, stage, said):
    made = bench("bean", "harbour fog", "--roasted-on", days_ago(days))
    amended = bench("pairing", "--amend")
    for done in (made, amended, bench("use", "1"), bench("prepare"), bench("next"), bench("kit")):
        assert f"{days} days off roast" in done.out
        assert said in done.out
    for arguments in (("use", "1"), ("prepare",), ("next",)):
        fresh = bench(*arguments, "--json").json["data"]["freshness"]
        assert (fresh["days_off_roast"], fresh["stage"]) == (days, stage)
    assert bench("kit", "--json").json["data"]["beans"][0]["freshness"]["stage"] == stage


def test_a_roasting_date_long_ago_is_refused(bench):
    done = bench("bean", "harbour fog", "--roasted-on", days_ago(800), "--json")
    assert done.status == 4
    assert "two years" in done.json["error"]["accepted"]
    assert bench("kit", "--json").json["data"]["beans"][0]["roasted_on"] is None


def test_a_shot_from_before_the_roasting_is_asked_about(bench):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--at", f"{days_ago(9)}T08:00")
    bench("bean", "harbour fog", "--roasted-on", days_ago(7))
    bench("pairing", "--amend")
    assert "before that roasting date" in bench("prepare").out
    assert bench("prepare", "--json").json["data"]["shot_before_roasting"] is True
    bench("bean", "harbour fog", "--roasted-on", days_ago(9))
    bench("pairing", "--amend")
    assert "before that roasting date" not in bench("prepare").out


def test_a_dose_outside_the_basket_is_told_when_it_is_logged(bench):
    done = bench("shot", "--grind", "18", "--dose", "22", "--temp", "93")
    assert "more than the basket takes, 16.5 to 20 g" in done.out
    assert bench("shot", "--grind", "18", "--dose", "22", "--temp", "93", "--json").json["data"]["off_dial"] == [
        "dose_g"
    ]
    fits = bench("shot", "--grind", "18", "--dose", "18.05", "--temp", "93")
    assert "isn't on the dial" in fits.out
    assert "basket takes" not in fits.out


def test_a_dose_outside_the_basket_is_told_when_it_is_amended(bench):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93")
    assert "less than the basket" in bench("amend", "1", "--dose", "15").out
    assert bench("amend", "1", "--score", "7", "--json").json["data"]["questions"] == []


def test_doses_outside_the_basket_are_told_when_they_are_imported(bench, tmp_path):
    file = tmp_path / "old.csv"
    file.write_text("grind,dose_g,temp_c\n18,18,93\n18,22,93\n17,15,93\n")
    done = bench("import", str(file))
    assert "more than the basket takes, 16.5 to 20 g" in done.out
    assert "less than the basket is made for" in done.out


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
