"""Serving plans and what answers to them bear."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import product
from math import comb
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest, chisquare

from dialopt.errors import BadValue
from dialopt.sensory.binomial import tries_needed
from dialopt.sensory.blind_test import TESTS, BlindTest, judge
from dialopt.sensory.serving import new_code, serving_order, serving_plan

TRIANGLE, PAIRED = TESTS["triangle"], TESTS["paired"]
tests = st.sampled_from([*TESTS.values()])


def odd(cups: str) -> int:
    """Where the odd cup of three stands, from 1."""
    return next(place for place, cup in enumerate(cups, start=1) if cups.count(cup) == 1)


def answered(test: BlindTest, servings: int, hits: int) -> tuple[tuple[str, ...], list[int]]:
    """Orders and answers with that many right ones, or picks of B."""
    orders = serving_order(test, servings, Random(1))
    hit = [odd(cups) if test.cups == 3 else cups.index("B") + 1 for cups in orders]
    return orders, [place if number < hits else place % test.cups + 1 for number, place in enumerate(hit)]


def test_the_tests_there_are() -> None:
    told = {key: (test.name, test.letter, test.question, test.expects) for key, test in TESTS.items()}
    like = "Which cup do you like more?"
    assert told == {
        "triangle": ("triangle test", "T", "Which cup is the odd one?", None),
        "paired": ("paired comparison", "P", like, None),
        "paired, A expected": ("paired comparison", "A", like, "A"),
        "paired, B expected": ("paired comparison", "B", like, "B"),
    }
    assert all({*test.orders} == {"AB", "BA"} for test in TESTS.values() if test.cups == 2)
    assert {*TRIANGLE.orders} == {"".join(cups) for cups in product("AB", repeat=3)} - {"AAA", "BBB"}


@pytest.mark.parametrize(
    ("test", "servings", "hits", "alternative"),
    [
        (TRIANGLE, 12, 8, "greater"),
        (TRIANGLE, 12, 7, "greater"),
        (PAIRED, 10, 9, "two-sided"),
        (PAIRED, 10, 2, "two-sided"),
        (PAIRED, 10, 5, "two-sided"),
        (TESTS["paired, B expected"], 8, 7, "greater"),
        (TESTS["paired, B expected"], 8, 1, "greater"),
    ],
)
def test_p_values_are_scipy_s_exact_test(test: BlindTest, servings: int, hits: int, alternative: str) -> None:
    outcome = judge(test, *answered(test, servings, hits))
    expected = binomtest(hits, servings, float(test.guessing), alternative=alternative).pvalue
    assert outcome.p_value == pytest.approx(expected, rel=1e-9)
    assert outcome.shown == (expected <= 0.05)


def test_a_preference_names_the_one_picked_more_unless_one_was_expected() -> None:
    for hits, picked in ((9, "B"), (1, "A")):
        outcome = judge(PAIRED, *answered(PAIRED, 10, hits))
        assert (outcome.picked, outcome.hits, outcome.shown) == (picked, 9, True)
    assert judge(PAIRED, *answered(PAIRED, 10, 6)).picked == "B"
    assert judge(PAIRED, *answered(PAIRED, 10, 5)).picked == "A"
    against = judge(TESTS["paired, A expected"], *answered(TESTS["paired, A expected"], 10, 9))
    assert (against.picked, against.hits, against.shown) == ("A", 1, False)


@pytest.mark.parametrize("guess", [(1, 1, 1), (1, 2, 3), (3, 3, 2)])
def test_the_hits_of_any_guesser_are_exactly_binomial(guess: tuple[int, ...]) -> None:
    every = Counter(judge(TRIANGLE, orders, guess).hits for orders in product(TRIANGLE.orders, repeat=3))
    assert all(every[hits] * 27 == comb(3, hits) * 2 ** (3 - hits) * 6**3 for hits in range(4))


def test_orders_are_even_and_each_drawn_by_itself() -> None:
    """Over many codes; a balanced plan would fail the second half, a shuffled block the first or the second."""
    rng = Random(20)
    plans = [serving_plan(new_code(TRIANGLE, 6, rng)) for _ in range(3000)]
    orders = Counter(order for plan in plans for order in plan.orders)
    assert chisquare([orders[order] for order in TRIANGLE.orders]).pvalue > 0.001
    neighbours = Counter(pair for plan in plans for pair in zip(plan.orders, plan.orders[1:], strict=False))
    assert chisquare([neighbours[pair] for pair in product(TRIANGLE.orders, repeat=2)]).pvalue > 0.001


@given(tests, st.integers(6, 60), st.integers())
def test_a_code_says_all(test: BlindTest, servings: int, seed: int) -> None:
    code = new_code(test, servings, Random(seed))
    plan = serving_plan(f" {code.lower()}\n")
    assert plan == serving_plan(code)
    assert (plan.test, len(plan.orders), plan.code) == (test, servings, code)
    assert set(plan.orders) <= set(test.orders)


def test_a_plan_stays_what_it_was() -> None:
    """A code on a slip of paper must mean the same to a later version."""
    assert serving_plan("T6-KQ7F4").orders == ("ABB", "BAA", "BAA", "BBA", "AAB", "BAB")


@given(st.integers(), st.data())
def test_a_slip_of_the_pen_is_no_other_plan(seed: int, data: st.DataObject) -> None:
    code = new_code(TRIANGLE, 12, Random(seed))
    place = data.draw(st.integers(len(code) - 5, len(code) - 1))
    sign = data.draw(st.sampled_from("23456789BCDFGHJKLMNPQRSTVWXYZ"))
    wrong = code[:place] + sign + code[place + 1 :]
    swapped = code[: place - 1] + code[place] + code[place - 1] + code[place + 1 :]
    for other in {wrong, swapped} - {code}:
        with pytest.raises(BadValue, match=r"^code can't be"):
            serving_plan(other)


@pytest.mark.parametrize(
    "code", ["", "T", "-", "T6", "X6-KQ7F4", "T06-KQ7F4", "T²-KQ7F4", "T6-KQ7F44", "T6-0Q7F4", f"T{'9' * 5000}-KQ7F4"]
)
def test_what_is_no_code(code: str) -> None:
    with pytest.raises(
        BadValue, match=r"^code can't be .*; it takes the code of a serving plan, just as it was shown\.$"
    ) as no:
        serving_plan(code)
    assert no.value.value == code


@pytest.mark.parametrize("head", ["T06-KQ7F", "X6-KQ7F", "T6-KQ7", "T6-KQ7FF", "T-KQ7F"])
def test_no_last_sign_makes_a_code_of_what_is_none(head: str) -> None:
    for sign in "23456789BCDFGHJKLMNPQRSTVWXYZ":
        with pytest.raises(BadValue, match=r"^code can't be"):
            serving_plan(head + sign)


def test_servings_that_can_show_nothing_are_refused() -> None:
    fewest = {key: test.fewest for key, test in TESTS.items()}
    assert fewest == {"triangle": 3, "paired": 6, "paired, A expected": 5, "paired, B expected": 5}
    for servings in (0, 2, 61):
        with pytest.raises(BadValue, match=f"^servings can't be {servings}; it takes 3 to 60"):
            new_code(TRIANGLE, servings, Random(0))
    for servings in (3, 60):
        assert len(serving_plan(new_code(TRIANGLE, servings, Random(0))).orders) == servings
    with pytest.raises(BadValue, match=r"^servings can't be 5; it takes at least 6"):
        judge(PAIRED, ("AB",) * 5, [1] * 5)


@pytest.mark.parametrize("answers", [[], [1] * 5, [1] * 7, [1, 2, 3, 1, 2, 4], [0] * 6])
def test_answers_that_do_not_fit_are_refused(answers: list[int]) -> None:
    with pytest.raises(BadValue, match=r"^answers can't be .*6 cup numbers from 1 to 3") as refused:
        judge(TRIANGLE, ("AAB",) * 6, answers)
    assert refused.value.value == " ".join(map(str, answers))


@given(tests, st.integers(6, 20), st.data())
def test_enough_hits_show_it(test: BlindTest, servings: int, data: st.DataObject) -> None:
    outcome = judge(test, *answered(test, servings, data.draw(st.integers(0, servings))))
    assert outcome.shown == (outcome.hits >= outcome.least)


def test_what_a_test_can_show_goes_by_its_sides() -> None:
    two_sided, one_sided = (judge(test, *answered(test, 10, 5)) for test in (PAIRED, TESTS["paired, A expected"]))
    assert two_sided.test == PAIRED
    assert two_sided.servings_needed == tries_needed(Fraction(1, 2), 0.025, 2 / 3, 0.8)
    assert one_sided.servings_needed == tries_needed(Fraction(1, 2), 0.05, 2 / 3, 0.8)
    assert (two_sided.least, one_sided.least) == (9, 9)
