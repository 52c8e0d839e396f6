from __future__ import annotations

from dataclasses import replace
from datetime import date

from dialopt import Basket, Bean, Dial, Pairing, Recipe, Shot
from dialopt.engine import stop
from dialopt.engine.config import CONFIG


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
    assert stop.shots_left(bag, [Shot(recipe=recipe()), Shot(recipe=recipe(dose_g=1.8))]) == 4, "a slip of the pen"
    # 54.3 − 36.2 falls short of 18.1 by the last digit only.
    to_the_gram = replace(bag, bean=Bean(name="b", bag_g=54.3))
    assert stop.shots_left(to_the_gram, [Shot(recipe=recipe(dose_g=18.1))] * 2) == 1


def test_a_bag_is_shared_by_all_its_pairings(pairing: Pairing) -> None:
    bag = replace(pairing, bean=Bean(name="shared", bag_g=100), basket=Basket(dose_g=Dial(18, 18)))
    pulled = [Shot(recipe=recipe())] * 2
    old_burrs = replace(bag, grinder=replace(bag.grinder, burrs="set 0"))
    other_grinder = replace(bag, grinder=replace(bag.grinder, name="another"))
    guest = replace(bag, taster="a guest")
    next_bag = replace(bag, bean=Bean(name="shared", bag_g=100, roasted_on=date(2031, 4, 9)))
    assert stop.shots_left(bag, pulled, [(old_burrs, pulled)]) == 1
    assert stop.shots_left(bag, pulled, [(other_grinder, pulled)]) == 1
    known_better = replace(bag, bean=Bean(name="Shared", bag_g=100, species="arabica", roaster="Imaginary Roastery"))
    assert stop.shots_left(bag, pulled, [(guest, pulled), (next_bag, pulled)]) == 3
    assert stop.shots_left(bag, pulled, [(known_better, pulled)]) == 1, "a bag of which more is known"


def test_stopping_is_about_worth_and_leaving_the_sweet_spot_takes_more() -> None:
    far, near = CONFIG.about_the_same + 0.01, CONFIG.about_the_same - 0.01
    for counts, leaving in (("cups", CONFIG.leaving), ("recipe", 1.0)):
        for short, price in ((far, CONFIG.price(counts)), (near, leaving * CONFIG.price(counts))):
            assert stop.settled(price - 0.01, short=short, counts=counts)
            assert not stop.settled(price, short=short, counts=counts)


def test_one_cup_does_not_take_the_word_back(pairing: Pairing) -> None:
    price, near = CONFIG.price_cups, CONFIG.about_the_same
    assert stop.steady(CONFIG.steady * price - 0.01, short=near, counts="cups")
    assert not stop.steady(CONFIG.steady * price, short=near, counts="cups"), "it taught too much"
    assert not stop.steady(0.0, short=near + 0.01, counts="cups"), "the last shot was another recipe"


def test_the_horizon_is_what_is_left_and_what_will_be_bought(pairing: Pairing) -> None:
    lefts = [stop.cups_served(pairing, left) for left in (0, 1, 3, 5, 54)]
    assert lefts == sorted(lefts)
    assert lefts[0] == lefts[1] == CONFIG.fewest_cups, "an empty bag is likely followed by another"
    assert (
        stop.cups_served(replace(pairing, bags_to_come=4), 5)
        > stop.cups_served(replace(pairing, bags_to_come=1), 5)
        > 4
    )
    assert {stop.cups_served(replace(pairing, counts="recipe"), left) for left in (0, 5, 50)} == {CONFIG.recipe_cups}
