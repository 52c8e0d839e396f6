from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot
from dialopt.decisions import stop
from dialopt.decisions.advice import Range, SweetSpot
from dialopt.decisions.reason import change_in_words, reason


def recipe(grind: float = 18, dose_g: float = 18, temp_c: float = 93) -> Recipe:
    return Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c)


def test_shots_left_goes_by_weight(pairing: Pairing) -> None:
    bag = Pairing(
        bean=Bean(name="b", bag_g=100), grinder=pairing.grinder, machine=pairing.machine, basket=pairing.basket
    )
    assert stop.shots_left(bag, []) == 5
    assert stop.shots_left(bag, [Shot(recipe=recipe())] * 3) == 2
    assert stop.shots_left(bag, [Shot(recipe=recipe())] * 9) == 0
    assert stop.shots_left(pairing, [Shot(recipe=recipe(dose_g=20))]) == 11


def test_a_bag_is_shared_by_all_its_pairings(pairing: Pairing) -> None:
    bag = replace(pairing, bean=Bean(name="shared", bag_g=100), basket=Basket(dose_g=Dial(18, 18)))
    pulled = [Shot(recipe=recipe())] * 2
    old_burrs = replace(bag, grinder=replace(bag.grinder, burrs="set 0"))
    next_bag = replace(bag, bean=Bean(name="shared", bag_g=100, roasted_on=date(2031, 4, 9)))
    assert stop.shots_left(bag, pulled, [(old_burrs, pulled)]) == 1
    assert stop.shots_left(bag, pulled, [(next_bag, pulled)]) == 3


def test_stopping_needs_both_little_to_gain_and_a_likely_best() -> None:
    assert stop.settled(best_worth=stop.TEST_PRICE - 0.01, chance_close=stop.SURE_ENOUGH)
    assert not stop.settled(best_worth=stop.TEST_PRICE, chance_close=1.0)
    assert not stop.settled(best_worth=-1.0, chance_close=stop.SURE_ENOUGH - 0.01)


def test_later_cups_never_run_dry() -> None:
    assert stop.later_cups(0) > 0
    assert stop.later_cups(100) == stop.MOST_LATER_CUPS


@pytest.mark.parametrize(
    ("end", "words"),
    [
        (recipe(), ""),
        (recipe(grind=15), "3 steps finer"),
        (recipe(grind=19), "1 step coarser"),
        (recipe(dose_g=18.5, temp_c=91), "0.5 g more, 2 °C cooler"),
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


def said(pairing: Pairing, **changes: object) -> str:
    given: dict[str, object] = {
        "pairing": pairing,
        "shots": [Shot(recipe=recipe(), score=7)],
        "next_recipe": recipe(grind=16),
        "settled": False,
    }
    known = {"recipe": recipe(grind=17), "chance_close": 0.62, "edges": ()} | {
        name: changes.pop(name) for name in ("chance_close", "edges", "level_line", "rivals") if name in changes
    }
    spot = SweetSpot(score=Range(mean=7, low=6, high=8), knowledge=None, **known)  # type: ignore[arg-type]  # not asked
    return reason(**(given | changes), spot=spot)  # type: ignore[arg-type]


def test_reasons_fit_the_case(pairing: Pairing) -> None:
    assert said(pairing).startswith("Nothing this fine has been tasted yet")
    assert said(pairing, next_recipe=recipe(temp_c=95)).startswith("Nothing this hot")
    assert said(pairing, next_recipe=recipe(dose_g=17)).startswith("Nothing this small a dose")
    either_side = [Shot(recipe=recipe(grind=grind), score=7) for grind in (14, 20)]
    assert said(pairing, shots=either_side).startswith("It lies among the recipes tasted")
    assert "going by 2 earlier pairings" in said(pairing, shots=[], earlier=2)
    assert "again" in said(pairing, next_recipe=recipe())
    assert "best guess" in said(pairing, next_recipe=recipe(grind=17))
    assert "Nothing has been tasted" in said(pairing, shots=[Shot(recipe=recipe(), time_s=20)])
    assert "about 4 in 5" in said(pairing, settled=True, chance_close=0.83)
    assert "end of the dial" in said(pairing, edges=("temp_c",))
    assert "no single best setting" in said(pairing, level_line=(recipe(grind=10), recipe(grind=20)))
    assert "quite another place" in said(pairing, rivals=(recipe(grind=2),))


def test_a_last_shot_off_the_dial_that_snaps_home_is_a_repeat(pairing: Pairing) -> None:
    assert "again" in said(pairing, shots=[Shot(recipe=recipe(grind=16.3), score=7)])
