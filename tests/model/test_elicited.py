from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from dialopt import BagRecipe, Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot, advise
from dialopt.model.elicited import elicited_priors
from dialopt.model.initial import informed_initial
from dialopt.model.priors import NAMES, PRIORS
from tests.engine.outcomes import FEW


@pytest.fixture
def pairing() -> Pairing:
    return Pairing(
        bean=Bean(name="hinted"),
        grinder=Grinder(name="g", grind=Dial(0, 40, 1)),
        machine=Machine(name="m", temp_c=Dial(88, 96, 1)),
        basket=Basket(dose_g=Dial(16, 20, 0.1)),
    )


def with_bean(pairing: Pairing, **given: object) -> Pairing:
    return replace(pairing, bean=Bean(name="hinted", **given))  # type: ignore[arg-type]  # one field at a time


def test_most_bags_elicit_nothing(pairing: Pairing) -> None:
    assert elicited_priors(pairing) == ()
    assert elicited_priors(with_bean(pairing, roast="medium")) == ()
    assert elicited_priors(with_bean(pairing, suggested=BagRecipe(ratio=2.2))) == ()


def test_a_suggestion_is_read_on_this_kit(pairing: Pairing) -> None:
    time, temp, dose = elicited_priors(
        with_bean(pairing, suggested=BagRecipe(dose_g=18.5, ratio=2.5, time_s=30, temp_c=94), roast="dark")
    )
    assert time.parameter == "time_best"
    # 30 s at 1:2.5 extract as much as 35 s at 1:2: more water draws more, beyond the longer time that it takes.
    assert math.exp(time.value) == pytest.approx(30 * 1.25**PRIORS.pull_ratio.centre) == pytest.approx(35.07, abs=0.01)
    assert (temp.parameter, temp.value * 4 + 92) == ("temp_best", pytest.approx(94))
    assert (dose.parameter, 18 * math.exp(dose.value)) == ("dose_best", pytest.approx(18.5))


def test_a_ratio_that_can_be_set_is_suggested_by_the_bag_or_its_roast(pairing: Pairing) -> None:
    turned = replace(pairing, ratio=Dial(1.5, 3, 0.1))

    def said(**given: object) -> dict[str, float]:
        hints = elicited_priors(with_bean(turned, **given))
        return {hint.source: 2 * math.exp(hint.value) for hint in hints if hint.parameter == "ratio_best"}

    assert said(suggested=BagRecipe(ratio=2.5)) == {"suggestion": pytest.approx(2.5)}
    assert said(suggested=BagRecipe(ratio=2.5), roast="light") == {"suggestion": pytest.approx(2.5)}
    assert said(roast="light")["roast"] > 2.0 > said(roast="dark")["roast"]
    assert said(roast="medium") == said(suggested=BagRecipe(time_s=30)) == {}


def test_the_roast_speaks_where_the_suggestion_names_no_temperature(pairing: Pairing) -> None:
    roast, time = sorted(elicited_priors(with_bean(pairing, suggested=BagRecipe(time_s=28), roast="dark")))
    assert time.parameter == "time_best"
    assert (roast,) == elicited_priors(with_bean(pairing, roast="dark"))


def test_a_dose_for_another_basket_says_nothing(pairing: Pairing) -> None:
    assert elicited_priors(with_bean(pairing, suggested=BagRecipe(dose_g=9))) == ()
    assert len(elicited_priors(with_bean(pairing, suggested=BagRecipe(dose_g=16)))) == 1


def test_an_elicited_prior_moves_the_initial_distribution() -> None:
    from dialopt.model.elicited import ElicitedPrior

    initial = informed_initial([], [ElicitedPrior("temp_best", 1.0, PRIORS.temp_best.spread)], robust_weight=0.3)
    row = NAMES.index("temp_best")
    assert initial.informative == 0.7
    # A reading as wide as the prior: half-way between the two, and √½ as wide.
    informed = np.zeros((1, len(NAMES))) + initial.centre
    assert PRIORS.unpack(informed)["temp_best"][0, 0] == pytest.approx(0.5, abs=1e-6)
    assert initial.root[row, row] == pytest.approx(math.sqrt(0.5), abs=1e-6)
    assert np.delete(initial.centre, row) == pytest.approx(np.zeros(len(NAMES) - 1))


def test_the_first_shot_leans_to_what_is_suggested(pairing: Pairing) -> None:
    beans = {
        "plain": pairing,
        "hot": with_bean(pairing, suggested=BagRecipe(temp_c=95, dose_g=19)),
        "dark": with_bean(pairing, roast="dark"),
    }
    first = {name: [advise(one, [], seed=seed, config=FEW) for seed in range(4)] for name, one in beans.items()}
    temp_c = {name: np.mean([advice.next_recipe.temp_c for advice in tries]) for name, tries in first.items()}
    dose_g = {name: np.mean([advice.next_recipe.dose_g for advice in tries]) for name, tries in first.items()}
    assert temp_c["hot"] > temp_c["plain"] > temp_c["dark"]
    assert dose_g["hot"] > dose_g["plain"]
    assert first["hot"][0].reason.endswith("going by the roaster's suggestion.")
    assert first["dark"][0].reason.endswith("going by the dark roast.")


@pytest.mark.slow
def test_a_wrong_suggestion_is_unlearned(pairing: Pairing) -> None:
    """Shots that show a best cup near 26 s outweigh a bag that says 45 s."""
    shots = [
        Shot(recipe=Recipe(grind=grind, dose_g=18, temp_c=92), yield_g=36, time_s=time, score=score, balance=balance)
        for grind, time, score, balance in (
            (24, 18, 5, -2), (20, 23, 7.5, -1), (18, 26, 8.5, 0), (16, 30, 7.5, 1), (12, 38, 5, 2), (18, 26, 8.5, 0),
        )
    ]  # fmt: skip
    suggested = with_bean(pairing, suggested=BagRecipe(time_s=45))
    assert advise(suggested, shots).sweet_spot.recipe.grind == pytest.approx(
        advise(pairing, shots).sweet_spot.recipe.grind, abs=2
    )


def test_what_cannot_be_set_elicits_nothing(pairing: Pairing) -> None:
    suggested = with_bean(pairing, suggested=BagRecipe(temp_c=94, dose_g=18.5), roast="dark")
    still = replace(suggested, machine=Machine(name="m", temp_c=Dial(92, 92)), basket=Basket(dose_g=Dial(18, 18)))
    assert len(elicited_priors(suggested)) == 2
    assert elicited_priors(still) == ()
    assert elicited_priors(with_bean(still, roast="dark")) == ()
