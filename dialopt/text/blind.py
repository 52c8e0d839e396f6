"""A blind test: how it is served, what it showed, and what that doesn't say."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.sensory.blind_test import BlindTest, Outcome
from dialopt.sensory.serving import ServingPlan
from dialopt.text.said import Said, rows

CODE_ALONE = "A code already says which test it is; give --code alone, or the test without it."
WHICH_TEST = "Say which test: `dialopt serve triangle` or `dialopt serve paired`."
PAIRED_ONLY = "--expect goes with the paired test; a triangle test asks for a difference only."


def serve_said(plan: ServingPlan, a: str, b: str) -> Said:
    """A serving plan, for whoever serves. a, b: what the two recipes are."""
    test, servings = plan.test, len(plan.orders)
    shows = f"{test.least(servings)} of {servings}"
    if test.cups == 3:
        shows = f"{shows} right show a difference"
    elif test.expects:
        shows = f"{shows} picks of {test.expects} show that it is liked more"
    else:
        shows = f"{shows} picks of the same one, whichever, show a preference"
    return Said(
        did=f"For whoever serves, not for the taster: {test.name}, {servings} servings, code {plan.code}.",
        lines=(
            *rows(("A", a), ("B", b)),
            *(f"    {number:>3}  {' '.join(cups)}" for number, cups in enumerate(plan.orders, start=1)),
            *rows(
                ("Serve", "cups alike, in this order from left to right, as warm as each other; say nothing"),
                ("Ask", f"{test.question} The taster must pick one, and guesses when unsure."),
                ("Judge", f"{shows}, where guessing does so at most once in 20 tests"),
                (
                    "Pucks",
                    "pull both afresh every few servings: else the test may tell two pucks apart, not two recipes",
                ),
                (
                    "Mind",
                    f"that is {test.cups * servings} sips: spit them out, for the caffeine; let them cool first, "
                    "60 °C scalds",
                ),
            ),
        ),
        next_step=f"when all is tasted, `dialopt judge {plan.code} ANSWERS` with the cup picked in each, as 1 2 2 1.",
    )


def judge_said(plan: ServingPlan, outcome: Outcome, picks: Sequence[int]) -> Said:
    """What a test showed, and what was served."""
    did, *more = outcome_sentences(outcome)
    served = (
        f"    {number:>3}  {' '.join(cups)}   picked {pick}, {_pick_words(plan.test, cups, pick)}"
        for number, (cups, pick) in enumerate(zip(plan.orders, picks, strict=True), start=1)
    )
    if not outcome.shown:
        after = "take the one that is easier to pull; a test with more servings on another day counts by itself."
    elif plan.test.cups == 3:
        after = "`dialopt serve paired` asks which one is liked more."
    else:
        after = "`dialopt compare A B` says what the shots logged make of it."
    lines = (*(f"  {sentence}" for sentence in more), "  What was served:", *served)
    return Said(did=did, lines=lines, next_step=after)


def outcome_sentences(outcome: Outcome) -> tuple[str, str]:
    """What was shown, or that nothing was; then what that doesn't say."""
    count = f"{outcome.hits} of {outcome.servings}"
    p_value = "p < 0.0001" if outcome.p_value < 0.0001 else f"p = {outcome.p_value:.2g}"
    by_luck = f"guessing does as well or better in {_per_cent(outcome.p_value)} of such tests ({p_value})"
    found, count_words, silent_on = "preference", f"{outcome.picked} picked {count} times", "doesn't say by how much"
    if outcome.picked is None:
        found, count_words = "difference", f"{count} right"
        silent_on = "says neither how large it is nor which recipe is better"
    if outcome.shown:
        return (
            f"A {found} was shown: {count_words}; {by_luck}.",
            f"It holds for this taster and the cups that were served, and {silent_on}.",
        )
    return (
        f"No {found} was shown: {count_words}; {by_luck}.",
        f"That doesn't show that they are alike. {_reach(outcome)}",
    )


def _reach(outcome: Outcome) -> str:
    """How good a taster would have to be for as many servings to show it."""
    finds, finding = ("finds", "finding") if outcome.picked is None else ("picks", "picking")
    what = "the odd cup" if outcome.picked is None else outcome.test.expects or "the same recipe"
    needed = "more than 120" if outcome.servings_needed is None else f"about {outcome.servings_needed}"
    return (
        f"With {outcome.servings} servings it shows 4 times in 5 if the taster {finds} {what} "
        f"{_per_cent(outcome.weakest_shown)} of the time; {finding} it 2 times in 3 takes {needed} servings to show."
    )


def _per_cent(share: float) -> str:
    if share < 0.0001:
        return "less than 0.01 %"
    return f"{100 * share:.2g} %" if share < 0.995 else "nearly 100 %" if share < 1 else "100 %"


def _pick_words(test: BlindTest, cups: str, pick: int) -> str:
    cup = cups[pick - 1]
    if test.cups == 2:
        return cup
    return "right" if cups.count(cup) == 1 else "wrong"
