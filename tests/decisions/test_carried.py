from __future__ import annotations

from dataclasses import replace

from dialopt import Bean
from dialopt.decisions.carried import _GROUPS, _WORDS, carried, carried_words
from dialopt.model.kinship import kinship
from dialopt.model.priors import NAMES


def trusts(old, new):
    return {one.part: one.trust for one in carried(old, new)}


def test_every_part_has_words_and_parameters_that_exist():
    assert _GROUPS.keys() == _WORDS.keys()
    assert {name for names in _GROUPS.values() for name in names} <= set(NAMES)


def test_new_burrs_keep_the_taste_and_lose_the_clock(pairing):
    new = replace(pairing, grinder=replace(pairing.grinder, burrs="set 2"))
    assert trusts(pairing, new) == {
        "best_cup": "nearly whole",
        "step": "about half",
        "palate": "about half",
        "clock": "not at all",
    }
    assert [one.part for one in carried(pairing, new)] == ["best_cup", "step", "palate", "clock"]


def test_a_new_bag_keeps_the_clock_and_a_little_of_the_taste(pairing):
    new = replace(pairing, bean=Bean(name="another"))
    assert trusts(pairing, new) == {
        "clock": "nearly whole",
        "step": "nearly whole",
        "palate": "about half",
        "best_cup": "a little",
    }


def test_a_new_grinder_and_another_drink(pairing):
    other = replace(pairing, grinder=replace(pairing.grinder, name="other"))
    assert trusts(pairing, other)["step"] == "not at all"
    milk = replace(pairing, drink="milk")
    assert trusts(pairing, milk)["best_cup"] == "a little"
    assert trusts(pairing, milk)["clock"] == "nearly whole"


def test_new_water_keeps_the_clock_and_half_of_the_taste(pairing):
    soft = replace(pairing, water="soft")
    assert trusts(pairing, soft) == {
        "clock": "nearly whole",
        "step": "nearly whole",
        "best_cup": "about half",
        "palate": "about half",
    }
    assert trusts(soft, soft)["best_cup"] == "nearly whole"


def test_the_words_follow_what_the_model_does(pairing):
    new = replace(pairing, grinder=replace(pairing.grinder, burrs="set 2"))
    shared = dict(zip(NAMES, kinship(pairing, new), strict=True))
    for one in carried(pairing, new):
        assert one.share == min(shared[name] for name in _GROUPS[one.part])


def test_in_one_line(pairing):
    new = replace(pairing, grinder=replace(pairing.grinder, burrs="set 2"))
    assert carried_words(carried(pairing, new)) == (
        "the best cup's time, dose and temperature (nearly whole), what a step of grind does and your palate "
        "(about half), which grind gives which time (not at all)"
    )


def test_three_things_alike_in_one_line(pairing):
    new = replace(pairing, grinder=replace(pairing.grinder, burrs="set 2"), water="soft")
    assert carried_words(carried(pairing, new)) == (
        "the best cup's time, dose and temperature, what a step of grind does and your palate (about half), "
        "which grind gives which time (not at all)"
    )
