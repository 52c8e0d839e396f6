"""How far one pairing's parameters hold for another: a correlation for each, by what the two have in common.

All of it is common practice: no published figures were found for how much beans, burrs and tasters share.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dialopt.model.observations import Floats
from dialopt.model.priors import NAMES
from dialopt.trade.kit import Basket, Grinder
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing

TASTER = ("taster_sd", "verdict_sd", "same_within", "note_gain", "note_offset", "note_sd", "note_lapse")
_PUCK = ("time_dose", "time_temp", "time_ratio", "time_sd")
_OPTIMUM = ("time_best", "pull_temp", "pull_dose", "pull_ratio", "temp_best", "dose_best", "ratio_best")
_SHAPE = (
    "under_slope",
    "over_slope",
    "rounding",
    "temp_curve",
    "dose_curve",
    "ratio_curve",
    "steep",
    "matters",
    "hill",
    "hill_away",
    "hill_lower",
)
_STRENGTH = ("yield_best", "yield_slope", "yield_sd")
_MACHINE = {"temp_best": 0.8, "time_place": 0.9, "time_best": 0.9}
"""What is left on another machine: its 93 °C may be a degree or two off the old one's, and it wets and presses in its
own way, which moves the shot time a little."""
_PLACE_ON_NEW_BURRS = 0.5
"""New burrs of the same make in the same grinder run somewhere near where the old ones did, or somewhere else."""
_BASKET = {"time_place": 0.8, "time_dose": 0.8, "time_best": 0.9, "dose_best": 0.8, "pull_dose": 0.8}
"""What is left in another basket, whose holes and depth move the shot time and the dose that suits it."""


ROBUST_THIS_BAG, ROBUST, ROBUST_OTHER_BEANS = 0.1, 0.3, 0.5
"""Share of a start that stays as if nothing were known: after the same bag on the same kit, where only the water, the
drink, the ratio or the palate is new; after the same bean otherwise or by the bag alone; and after other beans."""


def robust_weight(pairing: Pairing, others: Sequence[Pairing]) -> float:
    """The share of the start of `pairing` that the histories of these others leave as if nothing were known."""
    if any(other.bean.is_bag_of(pairing.bean) and _same_kit(other, pairing) for other in others):
        return ROBUST_THIS_BAG
    of_this_bean = any(other.bean.is_coffee_of(pairing.bean) for other in others)
    return ROBUST if of_this_bean or not others else ROBUST_OTHER_BEANS


def task_correlation(old: Pairing, new: Pairing) -> Floats:
    """Correlation of each parameter of `new` with that of `old`, in the order of the priors, (k,)."""
    shared = dict.fromkeys(NAMES, 0.0)

    def put(names: tuple[str, ...], correlation: float) -> None:
        shared.update(dict.fromkeys(names, correlation))

    same_grinder = _same_grinder(old.grinder, new.grinder)
    put(TASTER, 0.7)
    put(("time_drift",), 0.5)
    put(_PUCK, 0.7)
    put(_STRENGTH, 0.7)
    put(_SHAPE, 0.5)
    put(_OPTIMUM, 0.3)
    if old.bean.is_coffee_of(new.bean):
        put(_SHAPE, 0.95)
        put(_OPTIMUM, 0.97)
    if same_grinder and same_name(old.grinder.burrs, new.grinder.burrs):
        put(_PUCK, 0.95)
        shared.update(time_place=0.97, time_grind=0.95)
    elif same_grinder:
        shared.update(time_place=_PLACE_ON_NEW_BURRS, time_grind=0.6)
    if old.drink != new.drink:
        put((*_SHAPE, *_OPTIMUM), 0.3)

    def keep(shares: dict[str, float]) -> None:
        shared.update({name: share * shared[name] for name, share in shares.items()})

    if not same_name(old.water, new.water):
        # Hardness and alkalinity change what is drawn out and how sour it tastes, so the best cup moves with them.
        keep(dict.fromkeys((*_SHAPE, *_OPTIMUM), 0.75))
    if not same_name(old.machine.name, new.machine.name):
        keep(_MACHINE)
    if not _same_basket(old.basket, new.basket):
        keep(_BASKET)
    if not same_name(old.taster, new.taster):
        # Somebody else's repeat noise and notes say nothing of this palate, their best cup something: tastes differ,
        # but less than coffees do. How much they like their best cup is carried for nobody: the peak isn't among these.
        put(TASTER, 0.0)
        keep(dict.fromkeys((*_SHAPE, *_OPTIMUM), 0.75))
    return np.array([shared[name] for name in NAMES])


def _same_kit(old: Pairing, new: Pairing) -> bool:
    """Whether the same bean would run as long on both at the same setting."""
    return (
        _same_grinder(old.grinder, new.grinder)
        and same_name(old.grinder.burrs, new.grinder.burrs)
        and same_name(old.machine.name, new.machine.name)
        and _same_basket(old.basket, new.basket)
    )


def _same_grinder(old: Grinder, new: Grinder) -> bool:
    """Whether two grinders go by one name and have the same dial."""
    return same_name(old.name, new.name) and (old.grind, old.finer) == (new.grind, new.finer)


def _same_basket(old: Basket, new: Basket) -> bool:
    """Whether two baskets go by one name and share a dose; one that was set up anew with other ends still does."""
    return same_name(old.name, new.name) and old.dose_g.low <= new.dose_g.high and new.dose_g.low <= old.dose_g.high
