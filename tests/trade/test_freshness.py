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
    ("days", "stage", "said"),
    [
        (0, "young", "wait until day 5 or expect noise"),
        (4, "young", "gas"),
        (5, "ready", "5 to 30 days"),
        (30, "ready", "in the window"),
        (31, "fading", "past day 30"),
        (400, "fading", "aroma"),
    ],
)
def test_each_stage_and_its_ends(days: int, stage: str, said: str) -> None:
    fresh = freshness(TODAY - timedelta(days=days), TODAY)
    assert (fresh.days, fresh.stage) == (days, stage)
    assert said in fresh.advice
    assert fresh.word in fresh.advice


def test_one_day_is_one_day() -> None:
    assert freshness(TODAY - timedelta(days=1), TODAY).age == "1 day off roast"
    assert freshness(TODAY, TODAY).age == "0 days off roast"


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
