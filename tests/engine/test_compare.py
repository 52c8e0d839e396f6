from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.stats import norm

from dialopt import BadValue, Pairing, Recipe, Shot, advise
from dialopt.engine.advice import Estimate
from dialopt.engine.compare import compare
from dialopt.engine.predictive import PosteriorPredictive
from dialopt.model.observations import Floats

A, B = Recipe(grind=17, dose_g=18, temp_c=93, ratio=2), Recipe(grind=20, dose_g=18, temp_c=93, ratio=2)


def normal_draws(gap: float, gap_sd: float, level_sd: float, count: int = 4000) -> Floats:
    """Liking of both: a level that they share, and a gap whose draws are the quantiles of a normal."""
    rng = np.random.default_rng(2)
    level = 5 + level_sd * rng.standard_normal(count)
    apart = gap + gap_sd * norm.ppf((np.arange(count) + 0.5) / count)
    return np.stack([level + apart / 2, level - apart / 2], axis=1)


@pytest.mark.parametrize(("gap", "gap_sd", "level_sd"), [(0.0, 0.5, 0.5), (0.4, 0.3, 0.1), (-0.4, 0.6, 0.8)])
def test_normal_beliefs_have_an_exact_answer(pairing: Pairing, gap: float, gap_sd: float, level_sd: float) -> None:
    draws = normal_draws(gap, gap_sd, level_sd)
    posterior = SimpleNamespace(liking=lambda at: draws[:, (at.raw[:, 0] == B.grind).astype(int)])
    nowhere: dict[str, Any] = {"region": None, "best": None}  # not asked
    known = PosteriorPredictive(pairing, posterior, **nowhere, outlier_share=0.0, seed=0)
    for level in (0.5, 0.9):
        found = known.compare(A, B, level)
        assert found.chance_better == pytest.approx(norm.cdf(gap / gap_sd), abs=1e-3)
        assert found.by.mean == pytest.approx(gap, abs=1e-3)
        low, high = norm.interval(level, gap, gap_sd)
        assert (found.by.low, found.by.high) == pytest.approx((low, high), abs=2e-3)


def test_what_moves_both_alike_does_not_blur() -> None:
    """Each liking is known to two points only, and yet the better one is certain."""
    found = compare(A, B, normal_draws(0.3, 0.05, 0.9))
    assert found.chance_better > 0.9999
    assert found.by.high - found.by.low < 0.2


likings = arrays(np.float64, st.tuples(st.integers(1, 40), st.just(2)), elements=st.floats(-20, 20))


@given(likings)
def test_the_other_way_round_is_the_rest(liking: Floats) -> None:
    there, back = compare(A, B, liking), compare(B, A, liking[:, ::-1])
    assert there.chance_better == pytest.approx(1 - back.chance_better, abs=1e-12)
    assert there.by.mean == pytest.approx(-back.by.mean, abs=1e-9)
    assert (there.by.low, there.by.high) == pytest.approx((-back.by.high, -back.by.low), abs=1e-9)


@given(likings)
def test_identical_recipes_are_even(liking: Floats) -> None:
    same = compare(A, A, liking[:, [0, 0]])
    assert (same.chance_better, same.by.mean, same.by.low, same.by.high) == (0.5, 0, 0, 0)


def test_beyond_the_scale_two_cups_are_alike() -> None:
    found = compare(A, B, np.array([[-5.0, -3.0], [12.0, 11.0]]))
    assert (found.chance_better, found.by.low, found.by.high) == (0.5, 0, 0)
    assert compare(A, B, np.array([[0.6, 0.2], [10.9, 10.2]])).by.mean == pytest.approx(0.2)


def test_on_advice(pairing: Pairing, shots: list[Shot]) -> None:
    advice = advise(pairing, shots)
    coarse = Recipe(grind=24, dose_g=18, temp_c=93, ratio=2)
    found = advice.compare(A, coarse)
    assert (found.one, found.other) == (A, coarse)
    assert found.chance_better > 0.95
    one, other = advice.predict([A, coarse]).score_mean
    assert found.by.mean == pytest.approx(one - other)
    assert advice.compare(coarse, A).chance_better == pytest.approx(1 - found.chance_better)
    assert advice.compare(A, A).by == Estimate(mean=0, low=0, high=0)
    narrow = advice.compare(A, coarse, level=0.5).by
    assert found.by.low < narrow.low < narrow.high < found.by.high
    with pytest.raises(BadValue, match=r"^other can't be 'best'; it takes a Recipe\.$"):
        advice.compare(A, "best")  # type: ignore[arg-type]
    with pytest.raises(BadValue, match=r"^one can't be 3; it takes a Recipe\.$"):
        advice.compare(3, A)  # type: ignore[arg-type]
    with pytest.raises(BadValue, match=r"^level can't be"):
        advice.compare(A, coarse, level=2)
