"""How far one pairing's parameters hold for another: a correlation for each, by what the two have in common.

All of it is common practice: no published figures were found for how much beans, burrs and tasters share.
"""

from __future__ import annotations

import numpy as np

from dialopt.model.priors import NAMES
from dialopt.model.table import Floats
from dialopt.trade.pairing import Pairing

_TASTER = ("taster_sd", "note_gain", "note_offset", "note_sd", "note_lapse")
_GRIND = ("clock_mid", "clock_grind")
_PUCK = ("clock_dose", "clock_temp", "clock_sd")
_OPTIMUM = ("clock_best", "pull_temp", "pull_dose", "temp_best", "dose_best")
_SHAPE = ("under_slope", "over_slope", "rounding", "temp_curve", "dose_curve")
_STRENGTH = ("yield_best", "yield_slope", "yield_sd")


def kinship(old: Pairing, new: Pairing) -> Floats:
    """Correlation of each parameter of `new` with that of `old`, in the order of the priors, (k,)."""
    shared = dict.fromkeys(NAMES, 0.0)

    def put(names: tuple[str, ...], correlation: float) -> None:
        shared.update(dict.fromkeys(names, correlation))

    same_bean = (old.bean.name, old.bean.roaster) == (new.bean.name, new.bean.roaster)
    same_grinder = (old.grinder.name, old.grinder.grind, old.grinder.finer) == (
        new.grinder.name,
        new.grinder.grind,
        new.grinder.finer,
    )
    put(_TASTER, 0.7)
    put(("clock_drift",), 0.5)
    put(_PUCK, 0.7)
    put(_STRENGTH, 0.7)
    put(_SHAPE, 0.5)
    put(_OPTIMUM, 0.3)
    if same_bean:
        put(_SHAPE, 0.95)
        put(_OPTIMUM, 0.97)
    if same_grinder and old.grinder.burrs == new.grinder.burrs:
        put(_PUCK, 0.95)
        put(_GRIND, 0.95)
    elif same_grinder:
        shared["clock_grind"] = 0.6
    if old.drink != new.drink:
        put((*_SHAPE, *_OPTIMUM), 0.3)
    if old.water != new.water:
        # Hardness and alkalinity change what is drawn out and how sour it tastes, so the best cup moves with them.
        shared.update({name: 0.75 * shared[name] for name in (*_SHAPE, *_OPTIMUM)})
    return np.array([shared[name] for name in NAMES])
