"""Tests that nobody would pull are never asked for."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot, Verdict, advise

pytestmark = pytest.mark.slow

PAIRING = Pairing(
    bean=Bean(name="washed sample", roasted_on=date(2031, 4, 1)),
    grinder=Grinder(name="bench grinder", grind=Dial(0, 40, 1)),
    machine=Machine(name="bench machine", temp_c=Dial(88, 96, 1)),
    basket=Basket(dose_g=Dial(16.5, 20, 0.1)),
)


def shot(grind, **noted):
    return Shot(recipe=Recipe(grind=grind, dose_g=18, temp_c=93), **noted)


@pytest.mark.parametrize("seed", range(4))
def test_a_gusher_and_a_choke_bracket_the_next_grind(seed):
    shots = [shot(15, yield_g=36, time_s=11, score=3, balance=-3), shot(12, fault="choked")]
    assert 12 < advise(PAIRING, shots, seed=seed).next_recipe.grind < 15


@pytest.mark.parametrize("seed", range(4))
def test_sour_at_every_time_is_no_ground_for_a_gusher(seed):
    """Sour from 25 to 58 s: whatever is asked for next runs in a time that somebody would drink."""
    shots = [
        shot(20, yield_g=36, time_s=25, score=5, balance=-2),
        shot(16, yield_g=36, time_s=34, score=5, balance=-2),
        shot(12, yield_g=36, time_s=45, score=4.5, balance=-2),
        shot(8, yield_g=36, time_s=58, score=4, balance=-1),
    ]
    advice = advise(PAIRING, shots, seed=seed)
    assert 15 <= advice.expected.time_s.mean <= 50


@pytest.mark.parametrize("seed", range(3))
def test_after_a_month_the_next_shot_is_the_sweet_spot(seed):
    shots = [
        shot(20, yield_g=36, time_s=22, score=5.5, balance=-1, pulled_at=datetime(2031, 4, 10, 8)),
        shot(17, yield_g=36, time_s=27, score=7.5, balance=0, pulled_at=datetime(2031, 4, 10, 9)),
        shot(15, yield_g=36, time_s=31, score=7, balance=1, pulled_at=datetime(2031, 4, 11, 8)),
    ]
    advice = advise(PAIRING, shots, seed=seed, today=date(2031, 5, 11))
    assert advice.next_recipe == advice.sweet_spot.recipe


def test_whoever_notes_times_only_is_led_to_the_time_of_the_sweet_spot():
    time_of = {24: 18, 22: 20, 20: 22, 18: 25, 17: 26, 16: 28, 15: 30, 14: 32}
    shots = [shot(24, yield_g=36, time_s=18)]
    for _ in range(4):
        grind = advise(PAIRING, shots).next_recipe.grind
        shots.append(shot(grind, yield_g=36, time_s=time_of.get(grind) or round(28 * 1.06 ** (16 - grind))))
    assert 24 <= shots[-1].time_s <= 33


def test_a_bag_is_dialled_in_by_verdicts_alone():
    """Best at 14; neither score nor note is ever given."""
    grinds = [24, 20, 16, 12, 8]
    shots = [shot(grind, yield_g=36, time_s=round(28 * 1.057 ** (18 - grind))) for grind in grinds]
    off = [abs(grind - 14) for grind in grinds]
    verdicts = [
        Verdict(
            one=n + 1, other=n, says="better" if off[n + 1] < off[n] else "worse" if off[n + 1] > off[n] else "same"
        )
        for n in range(4)
    ]
    told, untold = advise(PAIRING, shots, verdicts=verdicts), advise(PAIRING, shots)
    assert told.sweet_spot.recipe.grind == pytest.approx(14, abs=2)
    assert told.sweet_spot.prob_near_optimal > untold.sweet_spot.prob_near_optimal
    assert told == advise(PAIRING, shots, verdicts=verdicts)
    assert untold.why.kind in ("start", "untasted", "moves")
    assert told.why.kind not in ("start", "untasted"), "a cup that was judged was tasted"
