"""How long a shot likely runs, by the shots timed before it along the dial: a rule of thumb that needs no model.

What it takes for usual is where the model's priors start from, too. The sizes are common practice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations
from statistics import median
from typing import Literal

from dialopt.trade.pairing import USUAL_RATIO, Pairing
from dialopt.trade.shot import Shot

USUAL_S = 28.0
"""What a shot is taken to run before any was timed, s."""
FAST_S, SLOW_S = 20.0, 40.0
"""Below and above these a shot ran fast or slow: today's double takes 25–35 s."""
TIME_OFF = 1.6
"""Time over the likely one, or the other way round, beyond which it is far off at the same grind and dose."""
TIME_OFF_AT_FIRST = 6.0
"""The same for a first shot, when nobody knows yet where the dial stands: only a slip of a digit shows."""
LATEST = 12
"""How many earlier times are looked at: beans age, and older ones say less."""
USUAL_RISE = 2.2
"""Log seconds from the coarse end of the dial to the fine end."""
TIME_RATIO = 0.85
"""Log seconds a log unit of ratio: the cup fills at a nearly steady rate, but only once the puck is wetted.

Of 28 s to 1:2 some 5 s are wetting (common practice); 0.2 + 0.8·ρ/2 is (ρ/2)^0.85 within 2 % from 1:1.4 to 1:3
(computed)."""
_USUAL_RISE_COUNTS = 3  # as so many pairs of shots, so that two close shots can't tilt the line
_RISE_UNSURE = 1.5  # log seconds a whole dial away from the nearest earlier grind
_DOSE_UNSURE = 2.0  # log seconds a log unit of dose away from the nearest earlier dose
APART = 0.05
"""Share of the dial between two grinds from which on they tell a slope."""
_LEAST_RISE, _MOST_RISE = 0.3, 6.0


def time_stretch(ratio: float) -> float:
    """How many times as long as to 1:2 a cup of that ratio runs at one grind."""
    return math.exp(TIME_RATIO * math.log(ratio / USUAL_RATIO))


def usual_time(time_s: float, ratio: float) -> Literal["fast", "usual", "slow"]:
    """Whether a shot to that ratio ran fast or slow."""
    time_s /= time_stretch(ratio)
    return "fast" if time_s < FAST_S else "slow" if time_s > SLOW_S else "usual"


def timed_along_the_dial(pairing: Pairing, earlier_shots: Sequence[Shot]) -> list[Shot]:
    """The latest of these that tell of the clock along the dial."""
    return [earlier for earlier in earlier_shots if earlier.timed and within_dial(pairing, earlier)][-LATEST:]


def likely_times(pairing: Pairing, shot: Shot, timed: Sequence[Shot]) -> list[float]:
    """Each earlier time, s, moved to this shot's grind along a line of log time: their median slope, held by the usual.

    A median of slopes between pairs (Theil 1950: memory) bears with a stray time among them.
    """
    if not timed:
        return [USUAL_S * time_stretch(pairing.ratio_of(shot.recipe))]
    points = [(fineness(pairing, earlier), math.log(earlier.time_s or USUAL_S)) for earlier in timed]
    slopes = [(b[1] - a[1]) / (b[0] - a[0]) for a, b in combinations(points, 2) if abs(b[0] - a[0]) >= APART]
    rise = min(max(median([USUAL_RISE] * _USUAL_RISE_COUNTS + slopes), _LEAST_RISE), _MOST_RISE)
    return [math.exp(log_time + rise * (fineness(pairing, shot) - fine)) for fine, log_time in points]


def log_room(pairing: Pairing, shot: Shot, timed: Sequence[Shot]) -> float:
    """Log seconds either way that raise no question: more the farther grind and dose are from any timed before."""
    if not timed:
        return math.log(TIME_OFF_AT_FIRST)
    grind = min(abs(fineness(pairing, shot) - fineness(pairing, earlier)) for earlier in timed)
    dose = min(abs(math.log(shot.recipe.dose_g / earlier.recipe.dose_g)) for earlier in timed)
    return math.log(TIME_OFF) + _RISE_UNSURE * grind + _DOSE_UNSURE * dose


def within_dial(pairing: Pairing, shot: Shot) -> bool:
    """Whether the grind lies between the ends of the dial; beyond them it says nothing of the clock."""
    return pairing.grinder.grind.low <= shot.recipe.grind <= pairing.grinder.grind.high


def fineness(pairing: Pairing, shot: Shot) -> float:
    """How fine, as a share of the dial from its coarse end."""
    dial = pairing.grinder.grind
    if dial.fixed:
        return 0.0
    share = (shot.recipe.grind - dial.low) / (dial.high - dial.low)
    return share if pairing.grinder.finer == "up" else 1.0 - share
