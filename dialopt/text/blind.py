"""What a blind test showed, and what it doesn't say."""

from __future__ import annotations

from dialopt.sensory.blind_test import Outcome


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
