"""The brew ratio as a dial, and as it was pulled."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dialopt import BadValue, Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot, advise

pytestmark = pytest.mark.slow

FIXED = Pairing(
    bean=Bean(name="washed sample"),
    grinder=Grinder(name="bench grinder", grind=Dial(0, 40, 1)),
    machine=Machine(name="bench machine", temp_c=Dial(88, 96, 1)),
    basket=Basket(dose_g=Dial(16.5, 20, 0.1)),
)
TURNED = replace(FIXED, ratio=Dial(1.5, 3.0, 0.1))
# The longer the cup the better, at one grind, dose and temperature.
LONGER = [
    Shot(
        recipe=Recipe(grind=18, dose_g=18, temp_c=93, ratio=yield_g / 18),
        yield_g=yield_g,
        time_s=time_s,
        score=score,
    )
    for yield_g, time_s, score in (
        (36.0, 27, 4.0),
        (39.6, 29, 5.0),
        (43.2, 31, 6.0),
        (46.8, 33, 6.5),
        (50.4, 35, 7.5),
        (54.0, 37, 8.5),
    )
]


def test_a_longer_cup_is_asked_for_where_longer_cups_were_liked():
    advice = advise(TURNED, LONGER)
    assert advice.sweet_spot.recipe.ratio >= 2.7
    assert advice.sweet_spot.recipe.grind == pytest.approx(18, abs=3)
    assert advice.next_recipe.ratio >= 2.7


def test_the_ratio_pulled_is_not_blamed_on_the_palate():
    """At a fixed ratio, too, what was in the cup counts: the same scores over one weight look far noisier.

    Each pulled twice, as six cups hardly move the noise from where it is held to be before any.
    """
    as_pulled = advise(FIXED, LONGER * 2).palate.noise.mean
    all_alike = advise(FIXED, [replace(shot, yield_g=36.0) for shot in LONGER * 2]).palate.noise.mean
    assert as_pulled < 0.8 * all_alike


def test_every_recipe_that_comes_back_carries_its_ratio():
    shots = [replace(LONGER[0], recipe=replace(LONGER[0].recipe, ratio=None))]
    for pairing in (FIXED, TURNED):
        for advice in (advise(pairing, []), advise(pairing, shots)):
            for recipe in (advice.next_recipe, advice.sweet_spot.recipe):
                assert pairing.dials["ratio"].offers(recipe.ratio)
    assert advise(FIXED, []).next_recipe.ratio == 2.0


def test_a_recipe_without_a_ratio_is_that_of_the_pairing():
    advice = advise(FIXED, LONGER[:2])
    bare = replace(advice.sweet_spot.recipe, ratio=None)
    assert advice.sweet_spot.contains(bare, 0.0)
    assert advice.predict([bare]).score_mean == advice.predict([advice.sweet_spot.recipe]).score_mean
    assert advice.predict([(18, 18, 93)]).time_s < advise(TURNED, LONGER[:2]).predict([(18, 18, 93, 3.0)]).time_s


@pytest.mark.parametrize(
    ("hold", "message"),
    [
        ({"dose": 18}, "hold can't be"),
        ({"dose_g": 18.05}, "hold dose_g can't be 18.05; it takes a setting of this dial, 16.5 to 20"),
        ({"ratio": 3.5}, "hold ratio can't be 3.5"),
    ],
)
def test_what_cannot_be_held_is_named(hold, message):
    with pytest.raises(BadValue) as refused:
        advise(TURNED, [], hold=hold)
    assert str(refused.value).startswith(message)


def test_held_dials_stay_where_they_are():
    hold = {"dose_g": 18.3, "ratio": 2.2}
    for shots in ([], LONGER[:1], LONGER):
        advice = advise(TURNED, shots, hold=hold)
        for recipe in (advice.next_recipe, advice.sweet_spot.recipe):
            assert (recipe.dose_g, recipe.ratio) == (18.3, 2.2)
        assert dict(advice.hold) == hold
