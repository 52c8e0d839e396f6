"""Do two recipes differ to this taster? Triangle test and paired comparison, judged by exact binomial p-values.

Procedures: ISO 4120 (triangle test) and ISO 5495 (paired comparison test). Both are forced choices: who can't tell
guesses, and what guessing does is known exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from dialopt.errors import BadValue
from dialopt.sensory.binomial import least_hits, tail, tries_needed, weakest_shown

ALPHA = 0.05
"""Share of tests in which guessing may pass for a difference."""
SURE = 0.8
"""Probability with which a test should show what there is to show (common practice)."""
GOOD_TASTER = 2 / 3
"""Share of right answers by which the words measure how many servings would have been needed."""
MOST_SERVINGS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class BlindTest:
    """A kind of test. letter: its sign in a code. orders: the cups of one serving, from left to right.

    expects: the recipe that was said beforehand to be liked more; None when either may be, or when only a difference
    is asked for.
    """

    name: str
    letter: str
    orders: tuple[str, ...]
    question: str
    expects: str | None = None

    @property
    def cups(self) -> int:
        """Cups in a serving."""
        return len(self.orders[0])

    @property
    def guessing(self) -> Fraction:
        """Probability of a hit by guessing."""
        return Fraction(1, self.cups)

    @property
    def sides(self) -> int:
        """2 when either outcome would count as a difference, else 1."""
        return 2 if self.cups == 2 and self.expects is None else 1

    @property
    def fewest(self) -> int:
        """The fewest servings that can show anything at all."""
        return next(count for count in range(1, MOST_SERVINGS) if self.least(count) is not None)

    def least(self, servings: int) -> int | None:
        """Right answers, or picks of the same recipe, from which on a difference is shown; None when all are too few.

        >>> TESTS["triangle"].least(12), TESTS["paired"].least(12)
        (8, 10)
        """
        return least_hits(servings, self.guessing, ALPHA / self.sides)

    def p_value(self, hits: int, servings: int) -> float:
        """Probability that guessing does as well or better. hits: right answers, or picks of one recipe.

        Without an expectation either recipe may have been picked: the tail of the larger count, twice.
        """
        if self.sides == 2:
            return min(1.0, 2 * tail(max(hits, servings - hits), servings, self.guessing))
        return tail(hits, servings, self.guessing)


def _paired(letter: str, expects: str | None = None) -> BlindTest:
    return BlindTest(
        name="paired comparison",
        letter=letter,
        orders=("AB", "BA"),
        question="Which cup do you like more?",
        expects=expects,
    )


TESTS: dict[str, BlindTest] = {
    "triangle": BlindTest(
        name="triangle test",
        letter="T",
        orders=("AAB", "ABA", "BAA", "BBA", "BAB", "ABB"),
        question="Which cup is the odd one?",
    ),
    "paired": _paired("P"),
    "paired, A expected": _paired("A", expects="A"),
    "paired, B expected": _paired("B", expects="B"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What the answers bear. hits: right answers of a triangle test; of a paired one, picks of `picked`.

    least: hits from which on a difference is shown. weakest_shown: the true share of hits, 0–1, that this many
    servings show four times in five. servings_needed: how many servings show a taster who is right two times in three
    as often; None beyond 120.
    """

    test: BlindTest
    servings: int
    hits: int
    picked: str | None
    p_value: float
    shown: bool
    least: int
    weakest_shown: float
    servings_needed: int | None


def judge(test: BlindTest, orders: Sequence[str], answers: Sequence[int]) -> Outcome:
    """What a taster's answers bear.

    orders: the cups of each serving. answers: the cup picked in each, counted from 1 at the left. Raises BadValue for
    answers that don't fit the servings.
    """
    if len(answers) != len(orders) or not all(answer in range(1, test.cups + 1) for answer in answers):
        wanted = f"{len(orders)} cup numbers from 1 to {test.cups}, one a serving; a guess where the taster can't tell"
        raise BadValue("answers", " ".join(str(answer) for answer in answers), wanted)
    servings = len(orders)
    chosen = [cups[answer - 1] for cups, answer in zip(orders, answers, strict=True)]
    if test.cups == 3:
        picked, hits = None, sum(cups.count(cup) == 1 for cups, cup in zip(orders, chosen, strict=True))
    else:
        picked = test.expects or ("A" if 2 * chosen.count("A") >= servings else "B")
        hits = chosen.count(picked)
    least = test.least(servings)
    if least is None:
        raise BadValue("servings", servings, f"at least {test.fewest}: with fewer not even all right shows anything")
    return Outcome(
        test=test,
        servings=servings,
        hits=hits,
        picked=picked,
        p_value=test.p_value(hits, servings),
        shown=hits >= least,
        least=least,
        weakest_shown=weakest_shown(servings, least, SURE),
        servings_needed=tries_needed(test.guessing, ALPHA / test.sides, GOOD_TASTER, SURE),
    )
