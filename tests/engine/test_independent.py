from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.stats import norm

from dialopt.engine.independent import apart, chance_more, chances_best
from dialopt.model.observations import Floats


def normal(mean: float, sd: float, count: int = 1500) -> Floats:
    """Draws that are the quantiles of a normal, in order: as far from independent of one another as can be."""
    return mean + sd * norm.ppf((np.arange(count) + 0.5) / count)


@pytest.mark.parametrize(("one", "other"), [((6, 0.5), (6, 0.5)), ((6.4, 0.3), (6, 0.4)), ((5, 1), (6.2, 0.2))])
def test_normals_have_an_exact_answer_in_whatever_order_the_draws_come(
    one: tuple[float, float], other: tuple[float, float]
) -> None:
    gap, sd = one[0] - other[0], float(np.hypot(one[1], other[1]))
    assert chance_more(normal(*one), normal(*other)) == pytest.approx(norm.cdf(gap / sd), abs=1e-3)
    for level in (0.5, 0.9):
        by = apart(normal(*one), normal(*other), level)
        low, high = norm.interval(level, gap, sd)
        assert (by.mean, by.low, by.high) == pytest.approx((gap, low, high), abs=5e-3)


def test_a_shot_time_that_is_hardly_known_lies_within_its_own_interval() -> None:
    """Shot times that may be minutes: their mean doesn't."""
    seconds = np.exp(normal(np.log(25), 2.0, 700))
    by = apart(seconds, np.full(700, 25.0))
    assert by.low < by.mean < by.high
    assert by.mean == pytest.approx(0, abs=0.2)
    assert seconds.mean() - 25 > 100


def test_the_best_of_three_agrees_with_counting() -> None:
    normals = [(6.4, 0.5), (6.0, 0.8), (6.3, 0.2)]
    rng = np.random.default_rng(4)
    counted = np.bincount(np.argmax([rng.normal(*one, 400_000) for one in normals], axis=0), minlength=3) / 400_000
    assert chances_best([normal(*one) for one in normals]) == pytest.approx(counted, abs=5e-3)


draws = arrays(np.float64, st.integers(1, 30), elements=st.integers(0, 6).map(float))


@given(st.lists(draws, min_size=1, max_size=5))
def test_chances_add_to_one_and_two_are_each_other_s_rest(normals: list[Floats]) -> None:
    chances = chances_best(normals)
    assert sum(chances) == pytest.approx(1)
    assert all(0 <= chance <= 1 for chance in chances)
    assert chance_more(normals[0], normals[-1]) == pytest.approx(1 - chance_more(normals[-1], normals[0]))
    if len(normals) == 2:
        assert chances[0] == pytest.approx(chance_more(*normals))


def test_what_is_always_the_same_shares_alike() -> None:
    assert chances_best([np.full(5, 10.0)] * 4) == pytest.approx([0.25] * 4)
