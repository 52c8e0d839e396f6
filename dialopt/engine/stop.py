"""What is still to be drunk, and when testing has paid for itself."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.engine.config import CONFIG, Config
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


def shots_left(pairing: Pairing, shots: Sequence[Shot], earlier: Sequence[tuple[Pairing, Sequence[Shot]]] = ()) -> int:
    """Whole shots that the bag still holds, by the weight of those pulled and of the last dose, or else the usual one.

    earlier: other pairings with their shots; those of the very same bag, on whatever kit and for whatever drink, count,
    unless another taster has a bag of that bean too.
    """
    same_bag = [
        shot
        for other, pulled in earlier
        if other.bean.is_bag_of(pairing.bean) and same_name(other.taster, pairing.taster)
        for shot in pulled
    ]
    used = sum(shot.recipe.dose_g for shot in (*shots, *same_bag))
    meant = [shot.recipe.dose_g for shot in pairing.meant(shots)]
    dose = meant[-1] if meant else pairing.basket.dose_g.middle
    return max(0, int((pairing.bag_g - used) / dose + 1e-9))


def cups_served(pairing: Pairing, left: int, config: Config = CONFIG) -> float:
    """The cups that are served by what the next shot teaches. left: whole shots left in the bag.

    Where only the recipe counts it is `recipe_cups`. Otherwise it is the cups after this one in the bag, and for their
    share those of the bags to come.
    """
    if pairing.counts == "recipe":
        return config.recipe_cups
    to_come = pairing.bags_to_come * pairing.bag_g / pairing.basket.dose_g.middle
    return max(left - 1, config.fewest_cups) + config.next_bag * to_come


def settled(worth: float, *, short: float, counts: str, config: Config = CONFIG) -> bool:
    """Whether pulling more test shots no longer pays.

    worth: of the best test, points over all cups that count. short: points by which the last recipe pulled is expected
    to fall short of the sweet spot: whoever pulls what is about the sweet spot already is asked to go on only for more
    than keeps others testing. counts: as the pairing has it.
    """
    leaving = config.leaving if counts == "cups" and short <= config.about_the_same else 1.0
    return worth < leaving * config.price(counts)


def steady(worth: float, *, short: float, counts: str, config: Config = CONFIG) -> bool:
    """Whether what was settled before the last shot stays so after it, as that was about the sweet spot, too.

    Hysteresis: one so-so cup doesn't change the word, two may. Arguments as in `settled`.
    """
    return short <= config.about_the_same and worth < config.steady * config.price(counts)
