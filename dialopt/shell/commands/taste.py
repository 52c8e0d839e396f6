"""serve, judge: a blind test. It needs no logbook: its plan follows from its code."""

from __future__ import annotations

from dataclasses import asdict
from random import SystemRandom
from typing import Annotated, Any

from dialopt.errors import BadValue, WrongUse
from dialopt.sensory.blind_test import TESTS, BlindTest, judge
from dialopt.sensory.serving import ServingPlan, new_code, serving_plan
from dialopt.shell.context import Context
from dialopt.shell.options import Text, argument, option
from dialopt.shell.parsers import read_picks
from dialopt.shell.render import Answer, answered
from dialopt.text import blind as words
from dialopt.text.accepted import A_OR_B
from dialopt.trade.checks import one_of, text

SERVINGS = 12
_KINDS = ("triangle", "paired")


def serve(
    context: Context,
    *,
    kind: Annotated[Text, argument("triangle|paired", "Find the odd one of three, or the better one of two.")] = None,
    servings: Annotated[int | None, option("N", f"How often cups are served; {SERVINGS} unless you say.")] = None,
    expect: Annotated[Text, option("A|B", "Paired: which one you say beforehand will be liked more.")] = None,
    code: Annotated[Text, option("CODE", "Show the plan of this code again.")] = None,
    a: Annotated[str, option("TEXT", "What A is, for the slip.", "--a")] = "the first recipe",
    b: Annotated[str, option("TEXT", "What B is, for the slip.", "--b")] = "the second recipe",
) -> Answer:
    """Make the serving order of a blind test, for whoever serves; the taster looks away."""
    first, second = text("A", a), text("B", b)
    if code is not None:
        if (kind, servings, expect) != (None, None, None):
            raise WrongUse(words.CODE_ALONE)
    elif kind is None:
        raise WrongUse(words.WHICH_TEST)
    else:
        code = new_code(_test(kind, expect), SERVINGS if servings is None else servings, SystemRandom())
    plan = serving_plan(code)
    return answered(words.serve_said(plan, first, second), **_plan_data(plan), a=first, b=second)


def judge_(
    context: Context,
    *,
    code: Annotated[str, argument("CODE", "The code of the serving plan.")],
    answers: Annotated[list[str], argument("ANSWERS", "The cup picked in each serving, 1 is the left one.")],
) -> Answer:
    """Judge the answers of a blind test, and reveal the order."""
    plan = serving_plan(code)
    picks = read_picks(" ".join(answers))
    outcome = judge(plan.test, plan.orders, picks)
    more = {"test": plan.test.name, "sentences": [*words.outcome_sentences(outcome)], "answers": picks}
    return answered(words.judge_said(plan, outcome, picks), **{**_plan_data(plan), **asdict(outcome), **more})


def _test(kind: str, expect: str | None) -> BlindTest:
    kind = one_of("test", kind, _KINDS)
    if expect is None:
        return TESTS[kind]
    if kind != "paired":
        raise WrongUse(words.PAIRED_ONLY)
    side = expect.strip().upper()
    if side not in ("A", "B"):
        raise BadValue("expect", expect, A_OR_B)
    return TESTS[f"paired, {side} expected"]


def _plan_data(plan: ServingPlan) -> dict[str, Any]:
    """A serving plan. least: hits from which on a difference is shown."""
    return {
        "code": plan.code,
        "test": plan.test.name,
        "expects": plan.test.expects,
        "question": plan.test.question,
        "orders": list(plan.orders),
        "least": plan.test.least(len(plan.orders)),
    }
