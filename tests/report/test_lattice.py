from __future__ import annotations

import numpy as np
import pytest

import dialopt
from dialopt import Recipe, Shot
from dialopt.report.lattice import lay_out
from dialopt.trade.dial import Dial


@pytest.fixture
def lattice(an_advice):
    return lay_out(an_advice())


def test_chances_add_to_one_and_are_highest_at_home(lattice):
    assert lattice.best.sum() == pytest.approx(1)
    home = tuple(lattice.home[name] for name in lattice.axes)
    assert lattice.best[home] == lattice.best.max()
    assert lattice.chance("grind", "temp_c").sum() == pytest.approx(1)


def test_slices_have_the_first_dial_across(lattice):
    at = lattice.slice(lattice.score_mean, "grind", "temp_c", lattice.home["dose_g"])
    assert at.shape == (len(lattice.settings["temp_c"]), len(lattice.settings["grind"]))
    assert at[2, 5] == lattice.score_mean[5, lattice.home["dose_g"], 2]


def test_a_range_holds_the_sweet_spot_and_enough_of_the_chance(lattice):
    low, high = lattice.whereabouts["grind"]
    assert low <= 18 <= high
    inside = [low <= value <= high for value in lattice.settings["grind"]]
    shares = lattice.best.sum(axis=(1, 2))
    assert shares[np.array(inside)].sum() >= 0.9 - 1e-9
    assert (low, high) != (lattice.settings["grind"][0], lattice.settings["grind"][-1])


@pytest.mark.parametrize("dial", [Dial(0, 400, 1), Dial(0, 40, 1)], ids=["fine", "plain"])
def test_a_range_is_as_fine_as_the_dial_and_no_longer_than_it_must_be(dial, a_pairing):
    pairing = a_pairing(grind=dial)
    scale = dial.high / 40
    shots = [
        Shot(recipe=Recipe(grind=scale * grind, dose_g=18, temp_c=93), time_s=time, score=score, balance=balance)
        for grind, time, score, balance in ((24, 17, 5, -2), (19, 24, 7, -1), (17, 28, 7.5, 0), (14, 36, 6, 1)) * 3
    ]
    advice = dialopt.advise(pairing, shots)
    drawn = np.array([recipe.grind for recipe in advice.sweet_spot.predictive.best()])
    home = advice.sweet_spot.recipe.grind
    low, high = lay_out(advice).whereabouts["grind"]
    assert np.mean((drawn >= low) & (drawn <= high)) >= 0.9
    assert dial.offers(low)
    assert dial.offers(high)
    for start, end in ((low + dial.step, high), (low, high - dial.step)):
        assert not start <= home <= end or np.mean((drawn >= start) & (drawn <= end)) < 0.9


def test_fine_dials_are_thinned_but_keep_the_sweet_spot_and_the_ends(a_pairing, an_advice):
    lattice = lay_out(an_advice(a_pairing(grind=Dial(0.5, 40, 0.1), temp_c=Dial(93, 93))))
    assert len(lattice.settings["grind"]) <= 38
    assert 18 in lattice.settings["grind"]
    assert (lattice.settings["grind"][0], lattice.settings["grind"][-1]) == (0.5, 40)
    assert lattice.settings["temp_c"] == (93.0,)
    assert lattice.whereabouts["temp_c"] == (93.0, 93.0)
