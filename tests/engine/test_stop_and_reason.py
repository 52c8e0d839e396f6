from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from dialopt import BagRecipe, Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot
from dialopt.engine import stop
from dialopt.engine.advice import Estimate, SweetSpot
from dialopt.engine.config import CONFIG
from dialopt.engine.reason import change_in_words, reason


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
    told_more = replace(bag, bean=Bean(name="Shared", bag_g=100, species="arabica", roaster="Imaginary Roastery"))
    assert stop.shots_left(bag, pulled, [(guest, pulled), (next_bag, pulled)]) == 3
    assert stop.shots_left(bag, pulled, [(told_more, pulled)]) == 1, "a bag of which more was told"


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


def said(pairing: Pairing, **changes: object) -> str:
    given: dict[str, object] = {
        "pairing": pairing,
        "shots": [Shot(recipe=recipe(), score=7)],
        "next_recipe": recipe(grind=16),
        "settled": False,
    }
    known = {"recipe": recipe(grind=17), "prob_near_optimal": 0.62, "edges": ()} | {
        name: changes.pop(name)
        for name in ("prob_near_optimal", "edges", "near_optimal_ridge", "modes")
        if name in changes
    }
    spot = SweetSpot(score=Estimate(mean=7, low=6, high=8), predictive=None, **known)  # type: ignore[arg-type]  # not asked
    return reason(**(given | changes), spot=spot)  # type: ignore[arg-type]


def test_the_clock_says_why_to_go_on_that_way(pairing: Pairing) -> None:
    def by(time_s: float | None, grind: float, of: Pairing = pairing) -> str:
        shots = [Shot(recipe=recipe(), score=5, time_s=time_s)]
        return said(of, shots=shots, next_recipe=recipe(grind=grind))

    fine, coarse = (
        f"as nothing this {way} has been tasted yet, and one such cup teaches most." for way in ("fine", "coarse")
    )
    assert by(15, 14) == "Grind 14 (was 18), as the finest so far ran fast, 15 s."
    assert by(44, 21) == "Grind 21 (was 18), as the coarsest so far ran slow, 44 s."
    for time_s in (20, 28, None):
        assert by(time_s, 14) == f"Grind 14 (was 18), {fine}"
    assert by(44, 14) == f"Grind 14 (was 18), {fine}"
    assert by(28, 21) == f"Grind 21 (was 18), {coarse}"
    longer = replace(pairing, ratio=3.0)
    assert by(28, 14, longer) == "Grind 14 (was 18), as the finest so far ran fast, 28 s."
    assert by(44, 21, longer) == f"Grind 21 (was 18), {coarse}"
    alone = said(pairing, shots=[Shot(recipe=recipe(), score=5, time_s=15)], shot_time_right=False)
    assert (
        alone
        == "Only the grind moves until the shot time is right: grind 16 (was 18), as the finest so far ran fast, 15 s."
    )


def test_a_choke_near_by_is_told(pairing: Pairing) -> None:
    shots = [
        Shot(recipe=recipe(grind=20), score=6),
        Shot(recipe=recipe(grind=12, dose_g=17.5), fault="choked"),
        Shot(recipe=recipe(grind=17), score=7),
    ]
    word = "; a puck choked at 12 with 17.5 g, so this one may, too."
    assert said(pairing, shots=shots, next_recipe=recipe(grind=15)).endswith(word)
    assert word not in said(pairing, shots=shots, next_recipe=recipe(grind=17)), "five of 41 settings coarser"
    assert said(pairing, shots=shots, next_recipe=recipe(grind=15, dose_g=17)).endswith(word), "half a gram less"
    assert word not in said(pairing, shots=shots, next_recipe=recipe(grind=15, dose_g=16.5)), "a gram less"
    assert word not in said(pairing, shots=shots, next_recipe=recipe(grind=15), settled=True)
    finer = [*shots, Shot(recipe=recipe(grind=12), score=5)]
    assert word not in said(pairing, shots=finer, next_recipe=recipe(grind=13)), "as fine has run since"


def test_every_dial_that_moves_is_named_with_why(pairing: Pairing) -> None:
    most = "has been tasted yet, and one such cup teaches most"
    for changes, words in (
        ({"grind": 16}, f"Grind 16 (was 18), as nothing this fine {most}."),
        ({"grind": 19}, f"Grind 19 (was 18), as nothing this coarse {most}."),
        ({"grind": 17}, "Grind 17 (was 18), to the best guess so far."),
        ({"temp_c": 95}, f"Temperature 95 °C (was 93), as nothing this hot {most}."),
        ({"temp_c": 92}, f"Temperature 92 °C (was 93), as nothing this cool {most}."),
        ({"dose_g": 18.5}, f"Dose 18.5 g (was 18), as no dose this large {most}."),
        (
            {"dose_g": 17, "grind": 17},
            f"Grind 17 (was 18), to the best guess so far; dose 17 g (was 18), as no dose this small {most}.",
        ),
    ):
        assert said(pairing, next_recipe=recipe(**changes)) == words
    either_side = [
        Shot(recipe=recipe(grind=16 + off, dose_g=18 + off / 10, temp_c=93 + off / 2), score=7) for off in (-4, 4)
    ]
    towards = said(pairing, shots=either_side, next_recipe=recipe(grind=18, dose_g=18.4, temp_c=95))
    assert towards == "Grind 18 (was 20), towards the best guess so far."
    between = [*either_side, Shot(recipe=recipe(), score=7)]
    away = said(pairing, shots=between, next_recipe=recipe(grind=19))
    assert away == "Grind 19 (was 18), as what that changes is still open."


def test_reasons_fit_the_case(pairing: Pairing) -> None:
    assert said(pairing, next_recipe=recipe()) == (
        "The same again: how far to trust what it showed is what matters most now."
    )
    at_best = [Shot(recipe=recipe(grind=17), score=7)]
    assert said(pairing, shots=at_best, next_recipe=recipe(grind=17)) == (
        "The same again: it is the best guess so far, and no other cup is worth more now."
    )
    assert said(pairing, settled=True, prob_near_optimal=0.83) == (
        "More test shots won't help much; the chance is about 4 in 5 that no setting is better by more than half a "
        "point."
    )
    outlier = [Shot(recipe=recipe(grind=20), score=7), Shot(recipe=recipe(grind=16), score=3, fault="channelled")]
    assert said(pairing, shots=outlier) == "The last recipe was not tasted as it should be, so pull it once more."
    choked = [outlier[0], Shot(recipe=recipe(grind=10), fault="choked")]
    assert said(pairing, shots=choked, next_recipe=recipe(grind=19)).startswith(
        "The last puck choked: grind 19 (was 10)"
    )
    assert said(pairing, shots=choked, next_recipe=recipe(grind=10)).startswith("The last recipe was not tasted")


def test_the_first_reason_says_what_it_goes_by(pairing: Pairing) -> None:
    first = "Nothing has been tasted yet, so start where the best cup is most likely"
    start = {"shots": [], "next_recipe": recipe(grind=17)}
    assert said(pairing, **start) == f"{first}."
    assert said(pairing, **start | {"shots": [Shot(recipe=recipe(), time_s=20)]}) == f"{first}."
    assert said(pairing, **start, earlier=1) == f"{first}, going by 1 earlier pairing."
    light = replace(pairing, bean=Bean(name="b", roast="light"))
    assert said(light, **start, hinted=["roast"]) == f"{first}, going by the light roast."
    told = replace(pairing, bean=Bean(name="b", roast="light", suggested=BagRecipe(dose_g=18)))
    assert said(told, **start, hinted=["suggestion"], earlier=2) == (
        f"{first}, going by the roaster's suggestion and 2 earlier pairings."
    )
    assert said(told, **start, hinted=["suggestion", "roast"]) == (
        f"{first}, going by the roaster's suggestion and the light roast."
    )
    assert said(told, **start, hinted=["suggestion", "roast"], earlier=1) == (
        f"{first}, going by the roaster's suggestion, the light roast and 1 earlier pairing."
    )


def test_before_anything_was_tasted_the_reason_claims_nothing_of_taste(pairing: Pairing) -> None:
    timed = [Shot(recipe=recipe(), time_s=15)]
    assert said(pairing, shots=timed) == "Grind 16 (was 18), as the finest so far ran fast, 15 s."
    right = [Shot(recipe=recipe(), time_s=25)]
    assert said(pairing, shots=right) == "Grind 16 (was 18), as what that changes is still open."
    assert said(pairing, shots=timed, next_recipe=recipe()) == (
        "The last recipe was not tasted as it should be, so pull it once more."
    )


def test_a_caveat_follows_the_reason(pairing: Pairing) -> None:
    plain = said(pairing).removesuffix(".")
    line, modes = (recipe(grind=10), recipe(grind=20)), (recipe(grind=2),)
    for changes, caveat in (
        ({"edges": ("grind", "temp_c")}, "the best grind and temperature may lie at or beyond the ends of their dials"),
        ({"near_optimal_ridge": line}, "there is no single best setting, as a whole line of them does about as well"),
        ({"modes": modes}, "the best may also lie in quite another place"),
        ({"edges": ("dose_g",), "near_optimal_ridge": line}, "the best dose may lie at or beyond the end of the dial"),
    ):
        assert said(pairing, **changes) == f"{plain}; {caveat}."


def test_beans_that_have_aged_since_the_last_shot_are_a_reason(pairing: Pairing) -> None:
    plain = said(pairing).removesuffix(".")
    assert said(pairing, rested_days=4) == f"{plain}."
    aged = "; the beans are 12 days older than at the last shot, which leaves more open."
    assert said(pairing, rested_days=12) == plain + aged
    assert aged[:10] not in said(pairing, shots=[], next_recipe=recipe(grind=17), rested_days=12)


def test_a_last_shot_off_the_dial_that_snaps_home_is_a_repeat(pairing: Pairing) -> None:
    assert "again" in said(pairing, shots=[Shot(recipe=recipe(grind=16.3), score=7)])


def test_a_shot_far_off_the_dials_is_no_shot_of_the_nearest_recipe(pairing: Pairing) -> None:
    end = recipe(dose_g=20)
    for fault in (None, "channelled"):
        far = [Shot(recipe=recipe(), score=7), Shot(recipe=recipe(dose_g=25), score=7, fault=fault)]
        assert "The last recipe" not in said(pairing, shots=far, next_recipe=end)
