"""palate, compare, serve, judge."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dialopt import advise
from dialopt.sensory.serving import serving_plan
from dialopt.text.advice import pull_lines

SHOTS = (("24", "5", "-2"), ("19", "7", "-1"), ("17", "7.5", "0"), ("14", "6", "1"))


@pytest.fixture
def tasted(bench):
    for grind, score, balance in SHOTS:
        done = bench("shot", "--grind", grind, "--dose", "18", "--temp", "93", "--score", score, f"--balance={balance}")
        assert done.status == 0, done.err
    return bench


@pytest.mark.usefixtures("engine")
def test_the_palate_and_its_repeat(tasted):
    done = tasted("palate")
    assert "going by 4 shots" in done.out
    assert "no recipe tasted twice yet" in done.out
    assert "from 4 notes" in done.out
    assert "  Repeat   grind 1" in done.out
    assert "pull that repeat" in done.out
    data = tasted("palate", "--json").json["data"]
    assert data["repeats"] == 0
    assert data["tastings"] == 4
    assert data["noise"]["low"] < data["noise"]["mean"] < data["noise"]["high"]
    assert data["repeat"]["yield_g"] == 2 * data["repeat"]["dose_g"]
    assert tasted("next", "--json").json["data"]["palate"] == {
        key: value for key, value in data.items() if key not in ("pairing", "tastings")
    }


@pytest.mark.usefixtures("engine")
def test_the_palate_before_the_first_shot(bench):
    done = bench("palate")
    assert done.status == 0
    assert "going by no shots" in done.out
    assert "Repeat" not in done.out


@pytest.mark.usefixtures("engine")
def test_comparing_by_number_recipe_and_word(tasted):
    by_number = tasted("compare", "3", "1")
    assert "B        grind 24, 18 g, 93 °C" in by_number.out
    assert "that A is better." in by_number.out
    assert "A over B:" in by_number.out
    spelt = tasted("compare", "17:18,0:93", "24:18:93", "--json").json["data"]
    assert spelt["chance_better"] > 0.8
    assert spelt["by"]["mean"] > 0
    assert (spelt["one"]["grind"], spelt["other"]["grind"]) == (17, 24)
    sweet = tasted("sweet-spot", "--json").json["data"]
    words = tasted("compare", "next", "--json").json["data"]
    assert (words["one"], words["other"]) == (sweet["next"]["recipe"], sweet["recipe"])
    same = tasted("compare", "3", "17:18:93")
    assert "They are the same recipe." in same.out
    assert "over" not in same.out


def test_a_triangle_test_from_slip_to_verdict(run, home):
    shown = run("serve", "triangle", "--servings", "9", "--a", "grind 17", "--b", "grind 18", "--json").json["data"]
    code, orders = shown["code"], shown["orders"]
    assert orders == list(serving_plan(code).orders)
    assert (shown["a"], shown["least"], len(orders)) == ("grind 17", 6, 9)
    again = run("serve", "--code", code)
    for number, cups in enumerate(orders, start=1):
        assert f"  {number}  {' '.join(cups)}" in again.out
    assert f"dialopt judge {code}" in again.out
    assert "spit" in again.out
    assert "27 sips" in again.out
    right = [str(next(n for n, cup in enumerate(cups, start=1) if cups.count(cup) == 1)) for cups in orders]
    found = run("judge", code, *right)
    assert found.out.startswith("A difference was shown: 9 of 9 right")
    assert "picked" in found.out
    assert "dialopt serve paired" in found.out
    wrong = ",".join(str(int(place) % 3 + 1) for place in right)
    missed = run("judge", code.lower(), wrong)
    assert missed.out.startswith("No difference was shown: 0 of 9 right")
    assert "doesn't show that they are alike" in missed.out
    assert not home.exists(), "a blind test leaves nothing behind"


def test_a_paired_test_may_expect_one(run):
    code = run("serve", "paired", "--expect", "b", "--json").json["data"]["code"]
    picks = [str(cups.index("B") + 1) for cups in serving_plan(code).orders]
    assert "A preference was shown: B picked 12 of 12" in run("judge", code, "".join(picks)).out
    others = [str(3 - int(pick)) for pick in picks]
    assert "No preference was shown: B picked 0 of 12" in run("judge", code, *others).out


def test_two_plans_are_not_the_same(run):
    codes = {run("serve", "paired", "--json").json["data"]["code"] for _ in range(4)}
    assert len(codes) > 1


def test_a_repeat_is_to_be_tasted_blind(pairing, shots):
    advice = advise(pairing, shots)
    assert advice.palate is not None
    for repeat, said in ((None, False), (shots[0].recipe, False), (advice.next_recipe, True)):
        lines = pull_lines(replace(advice, palate=replace(advice.palate, repeat=repeat)), ())
        assert any(line.startswith("  Blind    ") for line in lines) == said
    assert pull_lines(replace(advice, palate=None), ())


@pytest.mark.parametrize("number", ["9" * 5000, "0" * 5000 + "7", "99999999999999999999"])
def test_a_shot_of_any_number_of_digits_is_not_found(bench, number):
    assert bench("compare", number).status == 3
