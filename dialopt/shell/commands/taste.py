"""compare, palate, serve, judge: which of two recipes is better, by the scores or blind, and how far scores go.

A blind test needs no logbook: its plan follows from its code.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict
from random import SystemRandom
from typing import TYPE_CHECKING, Annotated, Any

from dialopt.errors import BadValue, NotFound, WrongUse
from dialopt.logbook.records import Entry
from dialopt.sensory.blind_test import TESTS, BlindTest, judge
from dialopt.sensory.serving import ServingPlan, new_code, serving_plan
from dialopt.shell.context import SEED, Context
from dialopt.shell.data import palate_data, recipe_data
from dialopt.shell.in_use import current
from dialopt.shell.options import Seed, Text, argument, option
from dialopt.shell.parsers import read_picks, read_recipe
from dialopt.shell.render import Answer
from dialopt.text import terminal as words
from dialopt.text.blind import outcome_sentences
from dialopt.text.palate import BLIND, margin, noise_words, offset_words, source_words, verdict
from dialopt.text.recipes import recipe_words
from dialopt.trade.checks import one_of, text
from dialopt.trade.dial import plain_setting
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe

if TYPE_CHECKING:
    from dialopt.engine.advice import Advice

SERVINGS = 12
KINDS = ("triangle", "paired")
_KEY = "GRIND:DOSE:TEMP, a shot's number, `best` for the sweet spot or `next` for the shot advised"


def compare(
    context: Context,
    *,
    one: Annotated[str, argument("A", f"{_KEY}.")],
    other: Annotated[str, argument("B", "The same; the sweet spot when left out.")] = "best",
    seed: Seed = SEED,
) -> Answer:
    """Say which of two recipes is better, how surely, and by how much."""
    with context.book() as book:
        record = current(book)
        entries = book.entries(record.id)
        first, second = (_meant(name, key, record.pairing, entries) for name, key in (("A", one), ("B", other)))
        evidence, advice = context.advised(book, record.id, seed=seed)

    compared = advice.compare(first(advice), second(advice))
    return Answer(
        did=f"Two recipes for {record.pairing.title}, going by {words.count_words(record.shots)}:",
        lines=(
            f"  A        {recipe_words(compared.one)}",
            f"  B        {recipe_words(compared.other)}",
            f"  Better?  {verdict(compared)}",
            *([] if compared.one == compared.other else [f"  By       {margin(compared)}, 9 times in 10"]),
            *words.unscored_lines(evidence.shots),
        ),
        next_step="`dialopt serve paired` lets your palate judge them blind; `dialopt next` says what to pull now.",
        data={
            "pairing": record.id,
            **asdict(compared),
            "one": recipe_data(record.pairing, compared.one),
            "other": recipe_data(record.pairing, compared.other),
        },
    )


def palate(context: Context, *, seed: Seed = SEED) -> Answer:
    """Say how far your scores scatter, where your balance lies, and whether a blind repeat would help."""
    with context.book() as book:
        record = current(book)
        evidence, advice = context.advised(book, record.id, seed=seed)
    found, taster = advice.palate, record.pairing.taster
    whose = "Your" if taster is None else f"{taster}'s"
    if found is None:
        raise NotFound("This advice tells nothing of the palate.")
    tastings = sum(shot.tasted for shot in evidence.shots)
    # None of the earlier pairings has a say in the palate that somebody else scored.
    own_history = any(same_name(case.pairing.taster, taster) for case in evidence.read)
    lines = [
        f"  Noise    {noise_words(found)}",
        f"  From     {source_words(found, tastings, own_history)}",
        f"  Balance  {offset_words(found)}",
    ]
    next_step = "`dialopt next` says what to pull now; `dialopt serve triangle` tests whether two recipes differ."
    if (at := found.repeat) is not None:
        lines.append(f"  Repeat   {recipe_words(at)}, blind: {BLIND}")
        next_step = (
            f"pull that repeat, then `dialopt shot --grind {plain_setting(at.grind)} --dose {plain_setting(at.dose_g)} "
            f"--temp {plain_setting(at.temp_c)} --yield G --time S --score 0-10` logs it; `dialopt next` "
            "says what else."
        )
    return Answer(
        did=f"{whose} palate with {record.pairing.title}, going by {words.count_words(record.shots)}, 9 times in 10:",
        lines=tuple(lines),
        next_step=next_step,
        data={"pairing": record.id, "tastings": tastings, **palate_data(record.pairing, found)},
    )


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
        data={**_plan_data(plan), "a": names[0], "b": names[1]},
    )


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
    said, *more = outcome_sentences(outcome)
    served = [
        f"    {number:>3}  {' '.join(cups)}   picked {pick}, {_pick_words(plan.test, cups, pick)}"
        for number, (cups, pick) in enumerate(zip(plan.orders, picks, strict=True), start=1)
    ]
    if not outcome.shown:
        after = "take the one that is easier to pull; a test with more servings on another day counts by itself."
    elif plan.test.cups == 3:
        after = "`dialopt serve paired` asks which one is liked more."
    else:
        after = "`dialopt compare A B` says what the shots logged make of it."
    return Answer(
        did=said,
        lines=(*(f"  {sentence}" for sentence in more), "  What was served:", *served),
        next_step=after,
        data={
            **_plan_data(plan),
            **asdict(outcome),
            "test": plan.test.name,
            "sentences": [said, *more],
            "answers": picks,
        },
    )


def _meant(name: str, key: str, pairing: Pairing, entries: Sequence[Entry]) -> Callable[[Advice], Recipe]:
    """The recipe that a key stands for, once there is advice. Raises BadValue, NotFound at once."""
    word = key.strip().lower()
    if word == "best":
        return lambda advice: advice.sweet_spot.recipe
    if word == "next":
        return lambda advice: advice.next_recipe
    if word.isascii() and word.isdigit():
        recipe = next((entry.shot.recipe for entry in entries if str(entry.number) == word.lstrip("0")), None)
        if recipe is None:
            raise NotFound(f"There is no shot {word}; `dialopt shots` lists them, and GRIND:DOSE:TEMP names a recipe.")
    else:
        recipe = pairing.check(read_recipe(name, key))
    return lambda advice: recipe


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


def _pick_words(test: BlindTest, cups: str, pick: int) -> str:
    cup = cups[pick - 1]
    if test.cups == 2:
        return cup
    return "right" if cups.count(cup) == 1 else "wrong"
