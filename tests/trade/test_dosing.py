from __future__ import annotations

import pytest

from dialopt import Basket, Dial
from dialopt.trade.dosing import dose_caution

BASKET = Basket(dose_g=Dial(16.5, 20, 0.1))


@pytest.mark.parametrize("dose_g", [16.5, 18.05, 20.0, 16.5 - 1e-9])
def test_what_the_basket_takes_needs_no_word(dose_g: float) -> None:
    assert dose_caution(BASKET, dose_g) is None


@pytest.mark.parametrize(("dose_g", "said"), [(20.1, "more than the basket takes"), (16.4, "less than the basket")])
def test_what_it_does_not_take_is_told_with_what_comes_of_it(dose_g: float, said: str) -> None:
    caution = dose_caution(BASKET, dose_g)
    assert caution is not None
    assert said in caution
    assert "16.5 to 20 g" in caution
    assert "common practice" in caution


def test_a_basket_for_one_dose() -> None:
    caution = dose_caution(Basket(dose_g=Dial(18, 18)), 19)
    assert caution is not None
    assert "takes, 18 g:" in caution
