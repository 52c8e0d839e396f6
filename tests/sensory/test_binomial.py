from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from dialopt.sensory.binomial import least_hits, tail, tries_needed, weakest_shown

THIRD, HALF = Fraction(1, 3), Fraction(1, 2)


@given(st.integers(1, 60), st.integers(-2, 62), st.sampled_from([THIRD, HALF, 0.42]))
def test_the_tail_is_scipy_s(tries: int, least: int, chance: Fraction | float) -> None:
    assert tail(least, tries, chance) == pytest.approx(binom.sf(least - 1, tries, float(chance)), rel=1e-9)


# Triangle test, least number correct at .05/.01/.001: exact binomial with p = 1/3 (computed, apart from this code);
# ISO 4120 is the standard for the method. None: not even all right is enough.
TRIANGLE = {
    6: (5, 6, None),
    7: (5, 6, 7),
    8: (6, 7, 8),
    9: (6, 7, 8),
    10: (7, 8, 9),
    12: (8, 9, 10),
    15: (9, 10, 12),
    18: (10, 12, 13),
    20: (11, 13, 14),
    24: (13, 15, 16),
    30: (15, 17, 19),
    36: (18, 20, 22),
    48: (22, 25, 27),
    60: (27, 30, 33),
}
# Paired comparison, least number at .05 one-sided/two-sided: exact binomial with p = 1/2 (computed, apart from this
# code); ISO 5495 is the standard for the method.
PAIRED = {
    5: (5, None),
    6: (6, 6),
    7: (7, 7),
    8: (7, 8),
    10: (9, 9),
    12: (10, 10),
    15: (12, 12),
    20: (15, 15),
    24: (17, 18),
    30: (20, 21),
    40: (26, 27),
}


@pytest.mark.parametrize("servings", TRIANGLE)
def test_least_right_of_a_triangle_test(servings: int) -> None:
    assert tuple(least_hits(servings, THIRD, alpha) for alpha in (0.05, 0.01, 0.001)) == TRIANGLE[servings]


@pytest.mark.parametrize("servings", PAIRED)
def test_least_picks_of_a_paired_test(servings: int) -> None:
    assert tuple(least_hits(servings, HALF, alpha) for alpha in (0.05, 0.025)) == PAIRED[servings]


@given(st.integers(1, 60), st.sampled_from([THIRD, HALF]), st.sampled_from([0.2, 0.05, 0.01]))
def test_the_least_number_is_the_least(tries: int, chance: Fraction, alpha: float) -> None:
    least = least_hits(tries, chance, alpha)
    if least is None:
        assert tail(tries, tries, chance) > alpha
    else:
        assert tail(least, tries, chance) <= alpha < tail(least - 1, tries, chance)


@pytest.mark.parametrize(("tries", "least"), [(6, 5), (12, 8), (60, 27)])
def test_the_weakest_share_that_shows(tries: int, least: int) -> None:
    share = weakest_shown(tries, least, 0.8)
    assert binom.sf(least - 1, tries, share) == pytest.approx(0.8, abs=1e-6)


@pytest.mark.parametrize(("chance", "alpha", "share"), [(THIRD, 0.05, 2 / 3), (HALF, 0.025, 0.8), (HALF, 0.05, 0.7)])
def test_tries_needed_is_the_first_number_with_the_power(chance: Fraction, alpha: float, share: float) -> None:
    def power(tries: int) -> float:
        # scipy's own least number: the first above the upper quantile of guessing.
        least = int(binom.isf(alpha, tries, float(chance))) + 1
        return float(binom.sf(least - 1, tries, share))

    needed = tries_needed(chance, alpha, share, 0.8)
    assert needed is not None
    assert power(needed) >= 0.8
    assert all(power(tries) < 0.8 for tries in range(1, needed))


def test_tries_needed_stops_at_the_most() -> None:
    needed = tries_needed(THIRD, 0.05, 2 / 3, 0.8)
    assert needed is not None
    assert tries_needed(THIRD, 0.05, 2 / 3, 0.8, most=needed) == needed
    assert tries_needed(THIRD, 0.05, 2 / 3, 0.8, most=needed - 1) is None
    assert tries_needed(THIRD, 0.4, 0.9, 0.8) == 1
    assert tries_needed(HALF, 0.5, 0.5, 0.5) == 1, "just as sure as asked for"


def test_what_hardly_differs_from_guessing_needs_more_than_anybody_drinks() -> None:
    assert tries_needed(THIRD, 0.05, 0.35, 0.8) is None
