from __future__ import annotations

from dataclasses import replace

from dialopt import Basket, Bean, Dial
from dialopt.engine.carried import _GROUPS, carried
from dialopt.model.priors import NAMES
from dialopt.model.task_correlation import robust_weight, task_correlation

BEST_CUP = ("best_time", "best_dose", "best_temp")


def trusts(old, new):
    """The trust in each part, the best cup's three as one where they agree."""
    trusted = {one.part: one.trust for one in carried(old, new)}
    best = {trusted.pop(part) for part in BEST_CUP}
    assert len(best) == 1
    return {"best_cup": best.pop(), **trusted}


def test_every_part_has_parameters_that_exist():
    assert {name for names in _GROUPS.values() for name in names} <= set(NAMES)


def test_new_burrs_keep_the_taste_and_little_of_the_shot_time(pairing):
    new = replace(pairing, grinder=replace(pairing.grinder, burrs="set 2"))
    assert trusts(pairing, new) == {
        "best_cup": "nearly whole",
        "step": "about half",
        "palate": "about half",
        "clock": "a little",
    }
    assert [one.part for one in carried(pairing, new)] == [*BEST_CUP, "step", "palate", "clock"]


def test_a_new_bag_keeps_the_shot_time_and_a_little_of_the_taste(pairing):
    new = replace(pairing, bean=Bean(name="another"))
    assert trusts(pairing, new) == {
        "clock": "nearly whole",
        "step": "nearly whole",
        "palate": "about half",
        "best_cup": "a little",
    }


def test_the_best_ratio_is_carried_where_it_can_be_set(pairing):
    turned = replace(pairing, ratio=Dial(1.5, 3.0, 0.1))
    assert "best_ratio" not in {one.part for one in carried(turned, pairing)}
    assert "best_ratio" in {one.part for one in carried(pairing, turned)}


def test_a_name_that_is_spelt_otherwise_is_the_same_name(pairing):
    """As it is to the logbook: case makes no other thing, and a roaster that was named later no other coffee."""

    def spelt(spell, **given):
        return replace(
            pairing,
            bean=replace(pairing.bean, name=spell(pairing.bean.name), **given),
            grinder=replace(pairing.grinder, name=spell(pairing.grinder.name), burrs=spell("Set 1")),
            machine=replace(pairing.machine, name=spell(pairing.machine.name)),
            basket=replace(pairing.basket, name=spell(pairing.basket.name)),
            water=spell("Tap water"),
            taster=spell("A Guest"),
        )

    other = spelt(str.upper, roaster="Imaginary Roastery")
    assert task_correlation(spelt(str.lower), other).tolist() == task_correlation(other, other).tolist()
    assert robust_weight(spelt(str.lower), [other]) == robust_weight(other, [other])


def test_a_new_grinder_and_another_drink(pairing):
    other = replace(pairing, grinder=replace(pairing.grinder, name="other"))
    assert trusts(pairing, other)["step"] == "not at all"
    milk = replace(pairing, drink="milk")
    assert trusts(pairing, milk)["best_cup"] == "a little"
    assert trusts(pairing, milk)["clock"] == "nearly whole"


def test_new_water_keeps_the_shot_time_and_half_of_the_taste(pairing):
    soft = replace(pairing, water="soft")
    assert trusts(pairing, soft) == {
        "clock": "nearly whole",
        "step": "nearly whole",
        "best_cup": "about half",
        "palate": "about half",
    }
    assert trusts(soft, soft)["best_cup"] == "nearly whole"


def test_another_machine_counts_less_for_what_it_moves(pairing):
    other = replace(pairing, machine=replace(pairing.machine, name="other"))
    trusted = {one.part: one.trust for one in carried(pairing, other)}
    assert {part for part, trust in trusted.items() if trust == "nearly whole"} == {"best_dose", "step"}
    assert {part for part, trust in trusted.items() if trust == "about half"} == {
        "best_time",
        "best_temp",
        "clock",
        "palate",
    }


def test_another_basket_counts_less_for_what_it_moves(pairing):
    wide = Basket(name=pairing.basket.name, dose_g=Dial(pairing.basket.dose_g.low - 1, pairing.basket.dose_g.high, 0.1))
    assert carried(pairing, replace(pairing, basket=wide)) == carried(pairing, pairing), "its ends were corrected"
    for other in (
        replace(pairing.basket, name="other"),
        replace(pairing.basket, dose_g=Dial(7, 9, 0.1)),
    ):
        trusted = {one.part: one.trust for one in carried(pairing, replace(pairing, basket=other))}
        assert trusted["best_temp"] == trusted["step"] == "nearly whole"
        assert trusted["best_dose"] == trusted["clock"] == "about half"


def test_somebody_else_s_palate_is_none_of_yours(pairing):
    theirs = replace(pairing, taster="Ada")
    assert trusts(theirs, pairing)["palate"] == "not at all"
    assert trusts(theirs, pairing)["best_cup"] == "about half"
    assert trusts(theirs, pairing)["clock"] == "nearly whole"
    assert trusts(theirs, theirs) == trusts(pairing, pairing)
    assert not any(one.own_palate for one in carried(theirs, pairing))
    assert all(one.own_palate for one in carried(pairing, pairing))


def test_the_words_follow_what_the_model_does(pairing):
    new = replace(pairing, grinder=replace(pairing.grinder, burrs="set 2"))
    shared = dict(zip(NAMES, task_correlation(pairing, new), strict=True))
    for one in carried(pairing, new):
        assert one.share == min(shared[name] for name in _GROUPS[one.part])
