"""What a bag says of its own best cup before the first shot: the roaster's suggestion, and the roast level where that
suggests no temperature.

Each hint is a reading of one parameter with a spread of its own, as if somebody had once measured it badly. That
roasters' recipes carry over to other kit, and how roasts differ, is common practice; the spreads are wide for that.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from dialopt.model.observations import TEMP_SPAN_C, likely_temp_c
from dialopt.model.priors import PRIORS
from dialopt.trade.pairing import USUAL_RATIO, Pairing

TIME_SPREAD = 0.2
"""Of log seconds: a suggested 28 s may well mean 23 or 34 on another machine."""
TEMP_SPREAD_C = 2.0
DOSE_SPREAD = 0.02
"""Of log dose: 0.4 g in 18."""
ROAST_SHIFT_C = {"light": 1.0, "medium": 0.0, "dark": -2.0}
"""Lighter roasts tend to be brewed hotter, darker ones cooler, than the usual temperature."""
ROAST_SPREAD_C = 2.5
RATIO_SPREAD = 0.15
"""Of log ratio: 1:2.2 may well mean 1:1.9 or 1:2.5 to another palate."""
ROAST_RATIO = {"light": 0.15, "medium": 0.0, "dark": -0.15}
"""Lighter roasts tend to be pulled longer, darker ones shorter, in log ratio."""
ROAST_RATIO_SPREAD = 0.2


class ElicitedPrior(NamedTuple):
    """A reading of a parameter in its own unit, logs for a positive one, and how far it may be off.

    source: "suggestion" or "roast", what it was read from.
    """

    parameter: str
    value: float
    spread: float
    source: str = "suggestion"


def elicited_priors(pairing: Pairing) -> tuple[ElicitedPrior, ...]:
    """The hints that a pairing's bean gives for what can be set here, none for most."""
    suggested, found = pairing.bean.suggested, []
    temp_turns, dial = not pairing.machine.temp_c.fixed, pairing.basket.dose_g
    ratio_turns = not pairing.dials["ratio"].fixed
    shift_c = ROAST_SHIFT_C.get(pairing.bean.roast or "", 0.0)
    if temp_turns and shift_c and (suggested is None or suggested.temp_c is None):
        found.append(ElicitedPrior("temp_best", shift_c / TEMP_SPAN_C, ROAST_SPREAD_C / TEMP_SPAN_C, "roast"))
    longer = ROAST_RATIO.get(pairing.bean.roast or "", 0.0)
    if ratio_turns and longer and (suggested is None or suggested.ratio is None):
        found.append(ElicitedPrior("ratio_best", longer, ROAST_RATIO_SPREAD, "roast"))
    if suggested is None:
        return tuple(found)
    if suggested.time_s is not None:
        # At another ratio than USUAL_RATIO the same extraction takes a shorter or a longer time.
        beyond = PRIORS.pull_ratio.centre * math.log((suggested.ratio or pairing.usual_ratio) / USUAL_RATIO)
        found.append(ElicitedPrior("time_best", math.log(suggested.time_s) + beyond, TIME_SPREAD))
    if temp_turns and suggested.temp_c is not None:
        shift_c = suggested.temp_c - likely_temp_c(pairing)
        found.append(ElicitedPrior("temp_best", shift_c / TEMP_SPAN_C, TEMP_SPREAD_C / TEMP_SPAN_C))
    if ratio_turns and suggested.ratio is not None:
        found.append(ElicitedPrior("ratio_best", math.log(suggested.ratio / USUAL_RATIO), RATIO_SPREAD))
    # A dose that this basket doesn't take was meant for another, and says nothing of this one.
    if not dial.fixed and suggested.dose_g is not None and dial.low <= suggested.dose_g <= dial.high:
        found.append(ElicitedPrior("dose_best", math.log(suggested.dose_g / ((dial.low + dial.high) / 2)), DOSE_SPREAD))
    return tuple(found)
