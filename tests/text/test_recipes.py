from __future__ import annotations

import pytest

from dialopt import Dial, Grinder, Machine, Pairing, Recipe
from dialopt.text.recipes import change_in_words, mark_words


def recipe(grind: float = 18, dose_g: float = 18, temp_c: float = 93) -> Recipe:
    return Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c)


@pytest.mark.parametrize(
    ("end", "words"),
    [
        (recipe(), ""),
        (recipe(grind=15), "3 steps finer"),
        (recipe(grind=19), "1 step coarser"),
        (recipe(dose_g=18.5, temp_c=91), "0.5 g more, 2 °C cooler"),
        (recipe(temp_c=93.5), "0.5 °C hotter"),
        (recipe(grind=20, dose_g=17.8, temp_c=94), "2 steps coarser, 0.2 g less, 1 °C hotter"),
    ],
)
def test_changes_in_words(pairing: Pairing, end: Recipe, words: str) -> None:
    assert change_in_words(pairing, recipe(), end) == words


def test_a_dial_that_cannot_be_turned_is_not_named(pairing: Pairing) -> None:
    fixed = Pairing(
        bean=pairing.bean,
        grinder=pairing.grinder,
        machine=Machine(name="m", temp_c=Dial(93, 93)),
        basket=pairing.basket,
    )
    assert change_in_words(fixed, recipe(temp_c=90), recipe(grind=17)) == "1 step finer"


def test_finer_upwards_turns_the_words(pairing: Pairing) -> None:
    turned = Pairing(
        bean=pairing.bean,
        grinder=Grinder(name="other", grind=pairing.grinder.grind, finer="up"),
        machine=pairing.machine,
        basket=pairing.basket,
    )
    assert change_in_words(turned, recipe(), recipe(grind=15)) == "3 steps coarser"


def test_where_a_grind_lies_in_words() -> None:
    assert [mark_words(steps) for steps in (2, 1, 0, -1, -3)] == [
        "2 steps finer than the setting that runs nearest to 25 s",
        "1 step finer than the setting that runs nearest to 25 s",
        "at the setting that runs nearest to 25 s",
        "1 step coarser than the setting that runs nearest to 25 s",
        "3 steps coarser than the setting that runs nearest to 25 s",
    ]
