"""What is still to be drunk, and when testing has paid for itself."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

TOLERANCE = 0.5
"""Tolerance: points of liking from the best within which a recipe counts as near-optimal."""
SURE_ENOUGH = 0.875
"""Probability of being near-optimal from which on it is said to be sure: seven in eight."""
TEST_PRICE = {"cups": 0.03, "recipe": 0.25}
"""Points, over all cups that count, that going on must be worth, by what counts: to note what is drunk anyway costs
little, a test that is spat out its coffee, too."""
LEAVE_PRICE = {"cups": 0.09, "recipe": 0.25}
"""The same where the last shot was about the sweet spot already, which is left for a test."""
STEADY = 10.0
"""Times the price up to which one cup doesn't take the word back that more tests won't help much."""
AT_SWEET_SPOT = 0.15
"""Points short of the sweet spot up to which a recipe is about as good."""
NEXT_BAG_SHARE = 0.5
"""Share for which a lesson counts in another bag of the same bean, which is not quite this one."""
FEWEST_CUPS = 2
"""Cups after the next one at the least: a bag that looks empty most likely was larger than stated, or is followed by
another."""
RECIPE_CUPS = 10.0
"""Cups that a lesson serves where only the final recipe counts."""


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


def cups_served(pairing: Pairing, left: int) -> float:
    """The cups that a lesson of the next shot serves. left: whole shots left in the bag.

    Where only the recipe counts it is `RECIPE_CUPS`. Otherwise it is the cups after this one in the bag, and for their
    share those of the bags to come.
    """
    if pairing.counts == "recipe":
        return RECIPE_CUPS
    to_come = pairing.bags_to_come * pairing.bag_g / pairing.basket.dose_g.middle
    return max(left - 1, FEWEST_CUPS) + NEXT_BAG_SHARE * to_come


def settled(worth: float, *, short: float, counts: str) -> bool:
    """Whether pulling more test shots no longer pays.

    worth: of some more cups like the next one, points over all cups that count. short: points by which the last recipe
    pulled is expected to fall short of the sweet spot: whoever pulls what is about the sweet spot already is asked to
    go on only for more than keeps others testing. counts: as the pairing has it.
    """
    return worth < (TEST_PRICE if short > AT_SWEET_SPOT else LEAVE_PRICE)[counts]


def steady(worth: float, *, short: float, counts: str) -> bool:
    """Whether what was settled before the last shot stays so after it, as that was about the sweet spot, too.

    Hysteresis: one so-so cup doesn't change the word, two may. Arguments as in `settled`.
    """
    return short <= AT_SWEET_SPOT and worth < STEADY * TEST_PRICE[counts]
