from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from dialopt.sensory.blind_test import TESTS, BlindTest, judge
from dialopt.sensory.serving import serving_plan
from dialopt.text.blind import judge_said, outcome_sentences, serve_said
from tests.sensory.test_blind_test import PAIRED, TRIANGLE, answered, tests


@given(tests, st.integers(6, 20), st.data())
def test_the_words_claim_no_more_than_the_test_bears(test: BlindTest, servings: int, data: st.DataObject) -> None:
    outcome = judge(test, *answered(test, servings, data.draw(st.integers(0, servings))))
    said = " ".join(outcome_sentences(outcome))
    found = "difference" if test.cups == 3 else "preference"
    assert said.startswith(f"{'A' if outcome.shown else 'No'} {found} was shown: ")
    if outcome.shown:
        assert "this taster and the cups that were served" in said
    else:
        assert "doesn't show that they are alike" in said
        assert f"With {servings} servings it shows 4 times in 5 if" in said
        assert f"takes about {outcome.servings_needed} servings to show" in said


def test_what_guessing_does_is_never_rounded_up_to_certain() -> None:
    assert "in 100 % of such tests" in outcome_sentences(judge(TRIANGLE, *answered(TRIANGLE, 20, 0)))[0]
    assert "in nearly 100 % of such tests" in outcome_sentences(judge(TRIANGLE, *answered(TRIANGLE, 20, 1)))[0]
    assert "in 99 % of such tests" in outcome_sentences(judge(TRIANGLE, *answered(TRIANGLE, 12, 1)))[0]


def test_no_exponent_is_shown_to_a_person() -> None:
    found = outcome_sentences(judge(TRIANGLE, *answered(TRIANGLE, 20, 20)))[0]
    assert found.endswith("guessing does as well or better in less than 0.01 % of such tests (p < 0.0001).")


def test_an_expectation_that_was_turned_down_is_named_in_the_words() -> None:
    test = TESTS["paired, A expected"]
    shown, reach = outcome_sentences(judge(test, *answered(test, 12, 12)))
    assert shown.startswith("No preference was shown: A picked 0 of 12 times; ")
    assert "if the taster picks A 87 % of the time" in reach
    assert "if the taster picks the same recipe" in outcome_sentences(judge(PAIRED, *answered(PAIRED, 12, 6)))[1]


def test_in_words() -> None:
    assert outcome_sentences(judge(TRIANGLE, *answered(TRIANGLE, 8, 5))) == (
        "No difference was shown: 5 of 8 right; guessing does as well or better in 8.8 % of such tests (p = 0.088).",
        "That doesn't show that they are alike. With 8 servings it shows 4 times in 5 if the taster finds the odd cup "
        "80 % of the time; finding it 2 times in 3 takes about 16 servings to show.",
    )
    assert outcome_sentences(judge(PAIRED, *answered(PAIRED, 10, 10))) == (
        "A preference was shown: B picked 10 of 10 times; guessing does as well or better in 0.2 % of such tests "
        "(p = 0.002).",
        "It holds for this taster and the cups that were served, and doesn't say by how much.",
    )


def test_the_slip_for_whoever_serves_and_what_was_served() -> None:
    plan = serving_plan("T6-KQ7F4")
    slip = serve_said(plan, "grind 17", "grind 18")
    assert f"dialopt judge {plan.code}" in slip.next_step
    assert slip.lines[:2] == ("  A        grind 17", "  B        grind 18")
    assert [line.split() for line in slip.lines[2:8]] == [[str(n), *cups] for n, cups in enumerate(plan.orders, 1)]
    assert "18 sips: spit them out" in slip.lines[-1]
    right = [next(n for n, cup in enumerate(cups, 1) if cups.count(cup) == 1) for cups in plan.orders]
    found = judge_said(plan, judge(plan.test, plan.orders, right), right)
    assert found.did.startswith("A difference was shown: 6 of 6 right")
    assert all(line.endswith(", right") for line in found.lines[-6:])
    assert "dialopt serve paired" in found.next_step
    wrong = [place % 3 + 1 for place in right]
    missed = judge_said(plan, judge(plan.test, plan.orders, wrong), wrong)
    assert "doesn't show that they are alike" in missed.lines[0]
    assert all(line.endswith(", wrong") for line in missed.lines[-6:])
