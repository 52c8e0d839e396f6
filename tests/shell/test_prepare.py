from __future__ import annotations

from datetime import date, timedelta

import pytest


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
