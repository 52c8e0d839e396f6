"""serve, judge: a blind test between two recipes. Needs no logbook: the plan follows from its code."""

from __future__ import annotations

from random import SystemRandom
from typing import Annotated

import typer

from dialopt.errors import BadValue, WrongUse
from dialopt.sensory.blind_test import TESTS, BlindTest, judge
from dialopt.sensory.serving import ServingPlan, new_code, serving_plan
from dialopt.shell.answer import Answer
from dialopt.shell.data import outcome_data, plan_data
from dialopt.shell.desk import Desk
from dialopt.shell.reading import read_picks
from dialopt.shell.register import command
from dialopt.text.blind import outcome_sentences
from dialopt.trade.checks import one_of, text

SERVINGS = 12
KINDS = ("triangle", "paired")


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    command(app, "serve")(serve)
    command(app, "judge")(judge_)


def serve(
    desk: Desk,
    *,
    kind: Annotated[
        str | None,
        typer.Argument(metavar="triangle|paired", help="Find the odd one of three, or the better one of two."),
    ] = None,
    servings: Annotated[
        int | None,
        typer.Option("--servings", metavar="N", help=f"How often cups are served; {SERVINGS} unless you say."),
    ] = None,
    expect: Annotated[
        str | None,
        typer.Option("--expect", metavar="A|B", help="Paired: which one you say beforehand will be liked more."),
    ] = None,
    code: Annotated[
        str | None, typer.Option("--code", metavar="CODE", help="Show the plan of this code again.", show_default=False)
    ] = None,
    a: Annotated[str, typer.Option("--a", metavar="TEXT", help="What A is, for the slip.")] = "the first recipe",
    b: Annotated[str, typer.Option("--b", metavar="TEXT", help="What B is, for the slip.")] = "the second recipe",
) -> Answer:
    """Make the serving order of a blind test, for whoever serves; the taster looks away."""
    names = text("A", a), text("B", b)
    if code is not None:
        if (kind, servings, expect) != (None, None, None):
            raise WrongUse("A code already says which test it is; give --code alone, or the test without it.")
        plan = serving_plan(code)
    elif kind is None:
        raise WrongUse("Say which test: `dialopt serve triangle` or `dialopt serve paired`.")
    else:
        many = SERVINGS if servings is None else servings
        plan = serving_plan(new_code(_test(kind, expect), many, SystemRandom()))
    return Answer(
        did=f"For whoever serves, not for the taster: {plan.test.name}, {len(plan.orders)} servings, code {plan.code}.",
        lines=_plan_lines(plan, *names),
        next_step=f"when all is tasted, `dialopt judge {plan.code} ANSWERS` with the cup picked in each, as 1 2 2 1.",
        data={**plan_data(plan), "a": names[0], "b": names[1]},
    )


def judge_(
    desk: Desk,
    *,
    code: Annotated[str, typer.Argument(metavar="CODE", help="The code of the serving plan.")],
    answers: Annotated[
        list[str], typer.Argument(metavar="ANSWERS", help="The cup picked in each serving, 1 is the left one.")
    ],
) -> Answer:
    """Judge the answers of a blind test, and reveal the order."""
    plan = serving_plan(code)
    picks = read_picks(" ".join(answers))
    outcome = judge(plan.test, plan.orders, picks)
    served = [
        f"    {number:>3}  {' '.join(cups)}   picked {pick}, {_pick_words(plan.test, cups, pick)}"
        for number, (cups, pick) in enumerate(zip(plan.orders, picks, strict=True), start=1)
    ]
    return Answer(
        did=outcome_sentences(outcome)[0],
        lines=(*(f"  {sentence}" for sentence in outcome_sentences(outcome)[1:]), "  What was served:", *served),
        next_step=_after(plan.test, shown=outcome.shown),
        data={**plan_data(plan), **outcome_data(outcome), "answers": picks},
    )


def _test(kind: str, expect: str | None) -> BlindTest:
    kind = one_of("test", kind, KINDS)
    if expect is None:
        return TESTS[kind]
    if kind != "paired":
        raise WrongUse("--expect goes with the paired test; a triangle test asks for a difference only.")
    side = expect.strip().upper()
    if side not in ("A", "B"):
        raise BadValue("expect", expect, "A or B")
    return TESTS[f"paired, {side} expected"]


def _plan_lines(plan: ServingPlan, a: str, b: str) -> tuple[str, ...]:
    test, servings = plan.test, len(plan.orders)
    shows = f"{test.least(servings)} of {servings}"
    if test.cups == 3:
        shows = f"{shows} right show a difference"
    elif test.expects:
        shows = f"{shows} picks of {test.expects} show that it is liked more"
    else:
        shows = f"{shows} picks of the same one, whichever, show a preference"
    return (
        f"  A        {a}",
        f"  B        {b}",
        *(f"    {number:>3}  {' '.join(cups)}" for number, cups in enumerate(plan.orders, start=1)),
        "  Serve    cups alike, in this order from left to right, as warm as each other; say nothing",
        f"  Ask      {test.question} The taster must pick one, and guesses when unsure.",
        f"  Judge    {shows}, where guessing does so at most once in 20 tests",
        "  Pucks    pull both afresh every few servings: else the test may tell two pucks apart, not two recipes",
        f"  Mind     that is {test.cups * servings} sips: spit them out, for the caffeine; let them cool first, "
        "60 °C scalds",
    )


def _pick_words(test: BlindTest, cups: str, pick: int) -> str:
    cup = cups[pick - 1]
    if test.cups == 2:
        return cup
    return "right" if cups.count(cup) == 1 else "wrong"


def _after(test: BlindTest, *, shown: bool) -> str:
    if test.cups == 3 and shown:
        return "`dialopt serve paired` asks which one is liked more."
    if shown:
        return "`dialopt compare A B` says what the shots logged make of it."
    return "take the one that is easier to pull; a test with more servings on another day counts by itself."
