"""When to stop testing, and how many cups a lesson can still serve."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

CLOSE = 0.5
"""Points of liking from the best within which a recipe counts as found."""
SURE_ENOUGH = 0.875
"""Stated probability of being close at which testing may stop: seven in eight."""
TEST_PRICE = 0.25
"""Points, over all later cups, that a test shot must be worth to be asked for: moving dials, tasting with care."""
MOST_LATER_CUPS = 10


def shots_left(pairing: Pairing, shots: Sequence[Shot], earlier: Sequence[tuple[Pairing, Sequence[Shot]]] = ()) -> int:
    """Whole shots that the bag still holds, by the weight of those pulled and of the last dose, or else the usual one.

    earlier: other pairings with their shots; those of the very same bag, on whatever kit and for whatever drink, count,
    unless another taster has a bag of that bean too.
    """
    same_bag = [
        shot
        for other, told in earlier
        if other.bean.is_bag_of(pairing.bean) and same_name(other.taster, pairing.taster)
        for shot in told
    ]
    used = sum(shot.recipe.dose_g for shot in (*shots, *same_bag))
    meant = [shot.recipe.dose_g for shot in pairing.meant(shots)]
    dose = meant[-1] if meant else pairing.basket.dose_g.middle
    return max(0, int((pairing.bag_g - used) / dose + 1e-9))


def later_cups(left: int) -> float:
    """Cups that a lesson learned now will serve.

    A bag that looks empty most likely was larger than stated or is being followed by the same coffee.
    """
    return float(min(max(left - 1, 2), MOST_LATER_CUPS))


def settled(*, best_worth: float, chance_close: float) -> bool:
    """Whether pulling more test shots no longer pays.

    best_worth: worth of the best test shot, points. chance_close: probability that the sweet spot is close to the best.
    """
    return best_worth < TEST_PRICE and chance_close >= SURE_ENOUGH
