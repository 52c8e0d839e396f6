from __future__ import annotations

from datetime import date

import pytest

from dialopt import Bean
from dialopt.trade.names import same_name

BAG = Bean(name="Nobody's Field", roaster="Imaginary Roastery", bag_g=250, roasted_on=date(2031, 3, 1))


@pytest.mark.parametrize(
    ("other", "coffee", "bag"),
    [
        (Bean(name="nobody's field ", bag_g=250, roasted_on=date(2031, 3, 1)), True, True),
        (Bean(name="Nobody's Field", roaster="IMAGINARY roastery", bag_g=250, roasted_on=date(2031, 3, 1)), True, True),
        (Bean(name="Nobody's Field", bag_g=250, roasted_on=date(2031, 3, 1), species="arabica"), True, True),
        (Bean(name="Nobody's Field", bag_g=250, roasted_on=date(2031, 4, 1)), True, False),
        (Bean(name="Nobody's Field", bag_g=250), True, False),
        (Bean(name="Nobody's Field", bag_g=1000, roasted_on=date(2031, 3, 1)), True, False),
        (Bean(name="Nobody's Field", bag_g=250, roasted_on=date(2031, 3, 1), opened_on=date(2031, 3, 9)), True, False),
        (Bean(name="Nobody's Field", roaster="Another", bag_g=250, roasted_on=date(2031, 3, 1)), False, False),
        (Bean(name="Nobody's Hill", bag_g=250, roasted_on=date(2031, 3, 1)), False, False),
    ],
)
def test_what_makes_another_coffee_and_another_bag(other: Bean, coffee: bool, bag: bool) -> None:
    assert (BAG.is_coffee_of(other), other.is_coffee_of(BAG)) == (coffee, coffee)
    assert (BAG.is_bag_of(other), other.is_bag_of(BAG)) == (bag, bag)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("Café", "cafe\u0301", True),
        ("STRASSE", "straße", True),
        ("tap", None, False),
        (None, None, True),
        ("a", "b", False),
    ],
)
def test_names_that_mean_the_same(one: str | None, other: str | None, same: bool) -> None:
    assert same_name(one, other) is same_name(other, one) is same
