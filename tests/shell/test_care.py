"""Water, what to see to before pulling, and caffeine."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

SHOT = ("shot", "--grind", "18", "--dose", "18", "--temp", "93")


def days_ago(days: int) -> str:
    return (date.today() - timedelta(days=days)).isoformat()


# 100 ppm as each unit: 1 °dH 17.848, 1 °fH 10, 1 °Clark 14.254, 1 gpg 17.118, 1 mmol/L 100.09 ppm CaCO3 (computed).
@pytest.mark.parametrize(
    ("measure", "ppm", "amounts"),
    [
        ("hardness", 100, ("100", "100 ppm", "5,603 °dH", "5.603dH", "10 °fH", "7.016 °Clark", "5.842 gpg")),
        ("hardness", 100, ("0.9991 mmol/L",)),
        ("alkalinity", 50, ("50", "2.801 dKH", "0.9992 meq/L", "60.96 mg/L HCO3")),
    ],
)
def test_the_same_water_in_any_unit(run, measure, ppm, amounts):
    for amount in amounts:
        finding = run.data("water", f"--{measure}", amount)["findings"][f"{measure}_ppm"]
        assert (finding["value"], finding["state"]) == (pytest.approx(ppm, rel=1e-3), "within")
        assert "second-hand" in finding["source"]


def test_out_of_range_says_what_it_does(run):
    found = run.data("water", "--hardness", "14 °dH", "--alkalinity", "120")
    hardness = found["findings"]["hardness_ppm"]
    assert (hardness["state"], hardness["low"], hardness["high"]) == ("high", 50, 175)
    assert "scale" in hardness["machine"]
    assert len(found["together"]) == 1
    fits = run.data("water", "--hardness", "80", "--alkalinity", "50")
    assert [finding["taste"] for finding in fits["findings"].values()] == [None, None]
    assert fits["together"] == []


def test_a_bottle_s_label(run):
    label = ("--calcium", "12", "--magnesium", "3", "--sodium", "45", "--solids", "90", "--ph", "7,2")
    found = run.data("water", *label)["findings"]
    # 12 × 2.4974 + 3 × 4.1181 ppm CaCO3 (computed)
    assert found["hardness_ppm"]["value"] == pytest.approx(42.32, abs=0.01)
    assert "calcium_ppm" not in found, "it is part of the hardness"
    outside = {name for name, finding in found.items() if finding["state"] != "within"}
    assert outside == {"hardness_ppm", "sodium_mg_per_l"}
    alone = run.data("water", "--calcium", "12")["findings"]
    assert set(alone) == {"calcium_ppm"}, "that is no total hardness"
    assert alone["calcium_ppm"]["value"] == pytest.approx(29.97, abs=0.01)


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
    done = run("water", *arguments, "--json")
    assert done.status == status
    assert said in done.json["error"]["message"]


def test_before_the_first_shot(bench):
    told = bench.data("prepare")
    assert (told["freshness"], told["milk"], told["shot_before_roasting"]) == (None, None, False)
    assert told["basket"] == {"name": "bench basket", "low_g": 16.5, "high_g": 20}
    assert list(told["hold_still"]) == ["distribution", "tamp", "warm-up", "cup", "yield", "basket", "water"]


def test_milk_for_a_pairing_with_milk_only(bench):
    bench("pairing", "--drink", "milk")
    assert set(bench.data("prepare")["milk"]) >= {"stop", "scalds", "wand"}
    assert "too hot to hold" in bench("next").out
    bench("pairing", "--drink", "straight")
    assert "too hot to hold" not in bench("next").out
    assert bench.data("prepare")["milk"] is None


@pytest.mark.parametrize(("days", "stage"), [(2, "young"), (12, "ready"), (60, "fading")])
def test_every_command_that_shows_the_bag_says_how_fresh_it_is(bench, days, stage):
    made = bench.data("bean", "harbour fog", "--roasted-on", days_ago(days))
    amended = bench.data("pairing", "--amend")
    for told in (made, amended, *(bench.data(*words) for words in (("use", "1"), ("prepare",), ("next",)))):
        assert (told["freshness"]["days_off_roast"], told["freshness"]["stage"]) == (days, stage)
    assert bench.data("kit")["beans"][0]["freshness"]["stage"] == stage
    for words in (("use", "1"), ("prepare",), ("next",), ("kit",)):
        assert f"{days} days off roast" in bench(*words).out


def test_a_roasting_date_long_ago_is_refused(bench):
    done = bench("bean", "harbour fog", "--roasted-on", days_ago(800), "--json")
    assert done.status == 4
    assert "two years" in done.json["error"]["accepted"]
    assert bench.data("kit")["beans"][0]["roasted_on"] is None


def test_a_shot_from_before_the_roasting_is_asked_about(bench):
    bench(*SHOT, "--at", f"{days_ago(9)}T08:00")
    for days, asked in ((7, True), (9, False)):
        bench("bean", "harbour fog", "--roasted-on", days_ago(days))
        bench("pairing", "--amend")
        assert bench.data("prepare")["shot_before_roasting"] is asked
        assert ("before that roasting date" in bench("prepare").out) is asked


def test_a_dose_outside_the_basket_is_told_when_it_is_logged_amended_or_imported(bench, tmp_path):
    """By its question; that says whether it is too much or too little."""

    def says(*words):
        return [question["says"] for question in bench.data(*words)["questions"]]

    (above,) = says(*SHOT[:3], "--dose", "22", "--temp", "93")
    assert "more than the basket takes, 16.5 to 20 g" in above
    (off_dial,) = says(*SHOT[:3], "--dose", "18.05", "--temp", "93")
    assert "basket" not in off_dial
    (below,) = says("amend", "2", "--dose", "15")
    assert "less than the basket is made for" in below
    assert says("amend", "2", "--score", "7") == [], "it was asked about the dose already"
    file = tmp_path / "old.csv"
    file.write_text("grind,dose_g,temp_c\n18,18,93\n18,23,93\n17,15,93\n")
    assert says("import", str(file)) == [above.replace("22", "23"), below]


def test_a_day_without_shots(run):
    told = run.data("caffeine")
    assert (told["day"]["shots"], told["day"]["against_limit"]) == (0, "below")


def test_the_shots_of_every_pairing_count(bench):
    bench(*SHOT)
    bench("bean", "attic light")
    bench("pairing")
    bench(*SHOT)
    data = bench.data("caffeine", "--species", "arabica")
    for part in ("sitting", "day"):
        assert (data[part]["shots"], data[part]["low_mg"], data[part]["high_mg"]) == (2, 144.0, 504.0)
    assert data["sitting"]["against_limit"] == "maybe past"
    assert data["limits"] == {"at_once_mg": 200, "a_day_mg": 400, "source": "EFSA Journal 2015;13(5):4102"}
    assert bench("caffeine", "--species", "arabica").out.count("EFSA") == 1


def test_each_bean_counts_as_what_it_is(bench):
    bench(*SHOT)
    assert bench.data("caffeine")["species"] == ["unknown"]
    bench("bean", "attic light", "--species", "Decaf")
    bench("pairing")
    bench(*SHOT)
    day = bench.data("caffeine")["day"]
    assert (day["low_mg"], day["high_mg"], day["species"]) == (72.0, 468.0, ["decaf", "unknown"])
    assert bench.data("caffeine", "--species", "arabica")["species"] == ["arabica", "decaf"]
    bench("bean", "harbour fog", "--species", "robusta")
    bench("use", "1")
    bench("pairing", "--amend")
    assert bench.data("caffeine")["species"] == ["decaf", "robusta"]
    assert bench.fails("bean", "harbour fog", "--species", "liberica") == (4, "bad_value")


def test_yesterday_s_shots_and_those_taken_back_do_not(bench):
    at = datetime.now() - timedelta(days=1, hours=3)
    bench(*SHOT, "--at", f"{at:%Y-%m-%dT%H:%M}")
    bench(*SHOT)
    bench("undo")
    assert bench.data("caffeine")["day"]["shots"] == 0


def test_pregnancy_is_remembered_and_taken_back(bench):
    assert bench.data("caffeine", "--pregnant", "yes")["pregnant"] is True
    assert "midwife" not in bench("next").out, "there is no shot yet"
    bench(*SHOT)
    told = bench.data("caffeine")
    assert (told["pregnant"], told["limits"]["a_day_mg"]) == (True, 200)
    assert "midwife" in told["says"]
    assert "Mind     The day may be past 200 mg already" in bench("next").out, "said unasked"
    assert bench.data("caffeine", "--pregnant", "no")["limits"]["a_day_mg"] == 400
    assert "midwife" not in bench("next").out


def test_next_says_unasked_when_the_day_is_past_its_limit(bench):
    """By the low end, a shot of 18 g holds 72 mg: six are past 400 mg, five are not."""
    for _ in range(5):
        bench(*SHOT)
    assert "The day is past 400 mg" not in bench("next").out
    bench(*SHOT)
    assert "Mind     The day is past 400 mg even by the low end" in bench("next").out
    told = bench("sitting", typed="stop\n").out
    assert told.count("The day is past 400 mg") == 2, "when it begins and when it ends"


@pytest.mark.parametrize("arguments", [("--species", "liberica"), ("--pregnant", "maybe")])
def test_a_mistyped_option_is_refused_and_nothing_set(run, arguments):
    assert run.fails("caffeine", "--pregnant", "yes", *arguments) == (4, "bad_value")
    assert run.data("caffeine")["pregnant"] is False


@pytest.mark.usefixtures("engine")
def test_a_shot_logged_under_what_somebody_else_sent_was_drunk_here(bench, tmp_path):
    bench(*SHOT, "--score", "7")
    sent, there = tmp_path / "sent.json", ("--home", str(tmp_path / "another home"))
    bench("share", str(sent))
    bench("receive", str(sent), "--from", "Ada", *there)
    assert bench.data("caffeine", *there)["day"]["shots"] == 0, "Ada drank it"
    bench("use", "1", *there)
    logged = bench("shot", "--score", "6", *there)
    assert "Mind     kit and scores of this pairing are Ada's" in logged.out
    assert bench.data("caffeine", *there)["day"]["shots"] == 1
    assert bench("palate", *there).out.startswith("Ada's palate with ")
