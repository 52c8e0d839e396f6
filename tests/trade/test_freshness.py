from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt import BadValue
from dialopt.trade.freshness import BEST_DAYS, LONGEST_DAYS, check_roast_day, freshness

TODAY = date(2031, 4, 9)


# The window from day 5 to day 30 is common practice.
@pytest.mark.parametrize(
    ("days", "stage"),
    [(0, "young"), (4, "young"), (5, "ready"), (30, "ready"), (31, "fading"), (400, "fading")],
)
def test_each_stage_and_its_ends(days: int, stage: str) -> None:
    fresh = freshness(TODAY - timedelta(days=days), TODAY)
    assert (fresh.days, fresh.stage) == (days, stage)


def test_dates_that_no_bag_was_roasted_on() -> None:
    assert check_roast_day(TODAY, TODAY) == TODAY
    assert check_roast_day(TODAY - timedelta(days=LONGEST_DAYS), TODAY) < TODAY
    with pytest.raises(BadValue, match="best-before"):
        check_roast_day(TODAY + timedelta(days=1), TODAY)
    with pytest.raises(BadValue, match="past two years"):
        check_roast_day(TODAY - timedelta(days=LONGEST_DAYS + 1), TODAY)
    with pytest.raises(BadValue, match="past two years"):
        check_roast_day(date(1931, 4, 1), TODAY)


@given(st.integers(0, 2000))
def test_beans_never_grow_younger(days: int) -> None:
    order = ("young", "ready", "fading")
    stages = [order.index(freshness(TODAY - timedelta(days=age), TODAY).stage) for age in (days, days + 1)]
    assert stages == sorted(stages)
    assert (BEST_DAYS[0] <= days <= BEST_DAYS[1]) == (stages[0] == 1)
