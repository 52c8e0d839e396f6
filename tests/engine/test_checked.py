"""What may be asked of advise, and the words for what may not."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

import numpy as np
import pytest

from dialopt import BadValue, Pairing, Recipe, Shot, Verdict
from dialopt.engine.checked import (
    checked_earlier,
    checked_hold,
    checked_level,
    checked_most_moves,
    checked_pairing,
    checked_recipe,
    checked_recipes,
    checked_seed,
    checked_shots,
    checked_today,
    checked_verdicts,
)

RECIPE = Recipe(grind=20, dose_g=18, temp_c=92)
SHOT = Shot(recipe=RECIPE, score=6)
VERDICT = Verdict(one=1, other=0, says="better")
SHOTS = "shots can't be {}; it takes Shots, in the order they were pulled."
EARLIER = "earlier can't be {}; it takes pairs of a Pairing and its Shots."
SEED = "seed can't be {}; it takes a whole number from 0 up."
TODAY = "today can't be {}; it takes a date, as a datetime.date."
MOST_MOVES = "most_moves can't be {}; it takes a whole number from 1 to 4."
LEVEL = "level can't be {}; it takes a number from 0 to 1."
RECIPES = (
    "recipes can't be {}; it takes Recipes, tuples of grind, dose_g, temp_c and maybe ratio, or a frame with these "
    "columns."
)


@pytest.mark.parametrize(
    ("check", "wrong", "said"),
    [
        (checked_pairing, "x", "pairing can't be 'x'; it takes a Pairing."),
        (checked_shots, None, SHOTS.format("empty")),
        (checked_shots, "six", SHOTS.format("'six'")),
        (checked_shots, [SHOT, 4], "shot 2 can't be 4; it takes a Shot."),
        (checked_earlier, 3, EARLIER.format("3")),
        (checked_earlier, "pairs", EARLIER.format("'pairs'")),
        (checked_earlier, [4], EARLIER.format("4")),
        (checked_earlier, ["ab"], EARLIER.format("'ab'")),
        (checked_earlier, [(1, 2, 3)], EARLIER.format("(1, 2, 3)")),
        (checked_earlier, [[5, []]], "pairing can't be 5; it takes a Pairing."),
        (checked_seed, -1, SEED.format("-1")),
        (checked_seed, 0.5, SEED.format("0.5")),
        (checked_seed, True, SEED.format("True")),
        (checked_today, "2026-01-01", TODAY.format("'2026-01-01'")),
        (checked_today, datetime(2026, 1, 1), TODAY.format("datetime.datetime(2026, 1, 1, 0, 0)")),
        (lambda asked: checked_most_moves(asked, "cups"), 0, MOST_MOVES.format("0")),
        (lambda asked: checked_verdicts(asked, 2), "two", "verdicts can't be 'two'; it takes Verdicts."),
        (lambda asked: checked_verdicts(asked, 2), [VERDICT, 3], "verdict 2 can't be 3; it takes a Verdict."),
        (
            lambda asked: checked_verdicts(asked, 1),
            [VERDICT],
            "a place in verdict 1 can't be 1; it takes places of the 1 shots, counted from 0.",
        ),
        (checked_level, 1.5, LEVEL.format("1.5")),
        (checked_level, -0.1, LEVEL.format("-0.1")),
        (checked_level, float("nan"), LEVEL.format("nan")),
        (checked_level, "high", LEVEL.format("'high'")),
        (checked_level, True, LEVEL.format("True")),
        (checked_recipes, 7, RECIPES.format("7")),
        (checked_recipes, "best", RECIPES.format("'best'")),
        (checked_recipes, [RECIPE, 8], "recipe 2 can't be 8; it takes a Recipe."),
    ],
)
def test_what_is_wrong_is_named_with_what_would_do(check: Callable[[object], object], wrong: object, said: str) -> None:
    with pytest.raises(BadValue) as caught:
        check(wrong)
    assert str(caught.value) == said


def test_a_recipe_goes_by_the_name_of_its_argument() -> None:
    with pytest.raises(BadValue, match=r"^other can't be 3; it takes a Recipe\.$"):
        checked_recipe("other", 3)


def test_what_is_right_comes_back(pairing: Pairing) -> None:
    assert checked_pairing(pairing) is pairing
    assert checked_shots(iter([SHOT, SHOT])) == [SHOT, SHOT]
    assert checked_shots([]) == []
    assert checked_earlier([(pairing, [SHOT]), [pairing, ()]]) == [(pairing, [SHOT]), (pairing, [])]
    assert [checked_seed(seed) for seed in (0, 3, np.int64(4))] == [0, 3, 4]
    assert type(checked_seed(np.int64(4))) is int
    assert [checked_most_moves(None, counts) for counts in ("cups", "recipe")] == [1, 3]
    assert checked_most_moves(4, "cups") == 4
    assert checked_hold(pairing, None) == {}
    assert checked_hold(pairing, {"ratio": 2, "grind": 20}) == {"grind": 20.0, "ratio": 2.0}
    assert checked_verdicts(iter([VERDICT]), 2) == [VERDICT]
    assert checked_today(None) is None
    assert checked_today(date(2026, 1, 1)) == date(2026, 1, 1)
    assert [checked_level(level) for level in (0, 0.5, 1)] == [0.0, 0.5, 1.0]
    assert checked_recipe("one", RECIPE) is RECIPE
    assert checked_recipes((RECIPE, RECIPE)) == [RECIPE, RECIPE]
