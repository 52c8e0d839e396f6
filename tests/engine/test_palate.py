from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from dialopt import Pairing, Recipe, Shot, advise
from dialopt.engine.palate import palate


def shot(grind: float, score: float | None = 7, **rest: object) -> Shot:
    return Shot(recipe=Recipe(grind=grind, dose_g=18, temp_c=93), score=score, **rest)  # type: ignore[arg-type]


def taster(noise: tuple[float, float] = (0.3, 1.2)) -> SimpleNamespace:
    """A belief written by hand: noise evenly spread, and the best cup at grind 18."""
    return SimpleNamespace(
        score_sd=np.linspace(*noise, 1001),
        note_offset=np.linspace(-1, 3, 1001),
        liking=lambda at: np.tile(8 - 0.1 * np.abs(at.raw[:, 0] - 18), (1001, 1)),
    )


NEW = Recipe(grind=16, dose_g=18.5, temp_c=92, ratio=2)


def test_noise_and_offset_are_the_draws_mean_and_middle_nine_tenths(pairing: Pairing) -> None:
    found = palate(pairing, [], taster(), NEW)
    assert (found.noise.mean, found.noise.low, found.noise.high) == pytest.approx((0.75, 0.345, 1.155))
    assert (found.offset.mean, found.offset.low, found.offset.high) == pytest.approx((1, -0.8, 2.8))


def test_repeats_are_tastings_of_what_was_tasted_before(pairing: Pairing) -> None:
    shots = [
        shot(18, balance=0),
        shot(18, balance=1),
        shot(20),
        shot(18.2),  # between two settings: the same setting of the dial
        shot(20, score=None, balance=0),  # not tasted
        shot(20, fault="channelled", balance=-2),  # no tasting either, and its note doesn't count
        shot(60),  # off the dial
        shot(40),
    ]
    found = palate(pairing, shots, taster(), NEW)
    assert (found.repeats, found.notes) == (2, 3)


def test_a_blind_repeat_of_the_best_cup_while_the_noise_is_hardly_known(pairing: Pairing) -> None:
    shots = [shot(24), shot(19), shot(14)]
    assert palate(pairing, shots, taster(), NEW).repeat == pairing.at_ratio(shots[1].recipe)
    assert palate(pairing, shots[:2], taster(), NEW).repeat is None, "a new recipe teaches more"
    assert palate(pairing, shots, taster(noise=(0.5, 0.8)), NEW).repeat is None, "known well enough"
    assert palate(pairing, [*shots, *shots], taster(), NEW).repeat is None, "seen at first hand"
    assert palate(pairing, shots, taster(), None).repeat is None, "testing is over"


def test_the_next_shot_is_the_repeat_where_it_is_one(pairing: Pairing) -> None:
    shots = [shot(24), shot(19), shot(14)]
    again = pairing.at_ratio(shots[0].recipe)
    assert palate(pairing, shots, taster(), again).repeat == again
    assert palate(pairing, shots * 3, taster(), again).repeat == again


@pytest.mark.slow
def test_the_noise_is_learned_from_repeats(pairing: Pairing, shots: list[Shot]) -> None:
    """Against the scatter of the repeats themselves, the pure error of a textbook.

    The prior's median is 1 point, so that a steady palate is held to be a little noisier than its sixteen repeats say.
    """
    before = advise(pairing, shots).palate
    assert before is not None
    for scores in ([8.0, 7.5, 8.0, 8.5, 8.0, 7.5, 8.0, 8.0] * 2, [8.0, 6.0, 9.0, 7.0, 9.5, 6.5, 8.5, 7.5] * 2):
        repeats = [replace(shots[-1], score=score) for score in scores]
        after = advise(pairing, [*shots, *repeats]).palate
        assert after is not None
        assert after.repeats == len(scores)
        assert after.noise.high / after.noise.low < 0.8 * before.noise.high / before.noise.low
        assert 0.95 * after.noise.low < np.std(scores, ddof=1) < after.noise.high
        assert after.repeat is None


def test_the_offset_is_learned_from_notes(pairing: Pairing, shots: list[Shot]) -> None:
    plain = advise(pairing, shots).palate
    bitter = advise(pairing, [replace(one, balance=one.balance + 1) for one in shots if one.balance is not None]).palate
    assert plain is not None
    assert bitter is not None
    assert bitter.offset.mean > plain.offset.mean + 0.4
