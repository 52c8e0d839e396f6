"""serve, judge: a blind test from slip to verdict."""

from __future__ import annotations

from dialopt.sensory.serving import serving_plan


def test_a_triangle_test_from_slip_to_verdict(run, home):
    shown = run.data("serve", "triangle", "--servings", "9", "--a", "grind 17", "--b", "grind 18")
    code, orders = shown["code"], shown["orders"]
    assert orders == list(serving_plan(code).orders)
    assert (shown["a"], shown["least"], len(orders)) == ("grind 17", 6, 9)
    assert run.data("serve", "--code", code)["orders"] == orders
    right = [str(next(n for n, cup in enumerate(cups, start=1) if cups.count(cup) == 1)) for cups in orders]
    found = run.data("judge", code, *right)
    assert (found["shown"], found["hits"], found["answers"]) == (True, 9, [int(place) for place in right])
    missed = run.data("judge", code.lower(), ",".join(str(int(place) % 3 + 1) for place in right))
    assert (missed["shown"], missed["hits"]) == (False, 0)
    assert not home.exists(), "a blind test leaves nothing behind"


def test_a_paired_test_may_expect_one(run):
    code = run.data("serve", "paired", "--expect", "b")["code"]
    picks = [cups.index("B") + 1 for cups in serving_plan(code).orders]
    for places, shown, hits in ((picks, True, 12), ([3 - pick for pick in picks], False, 0)):
        told = run.data("judge", code, "".join(map(str, places)))
        assert (told["shown"], told["hits"], told["picked"]) == (shown, hits, "B")


def test_two_plans_are_not_the_same(run):
    codes = {run.data("serve", "paired")["code"] for _ in range(4)}
    assert len(codes) > 1
