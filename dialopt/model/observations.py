"""The log as arrays: what the likelihood reads."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from dialopt.model.limits import LATEST
from dialopt.trade.freshness import pulled_on
from dialopt.trade.pairing import USUAL_RATIO, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot
from dialopt.trade.verdict import SAYS, Verdict, among

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

USUAL_TEMP_C = 92.0
TEMP_SPAN_C = 4.0
AGE_SPAN_DAYS = 10.0
OLDEST_DAYS = 30.0
"""Days beyond which ageing hardly goes on changing the cup (common practice: beans are past their best by then)."""
CHOKED_S = 45.0
"""A choked puck is one whose time would have passed this, s (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inputs:
    """n recipes on a day, as coordinates.

    raw: rows of grind, dose_g, temp_c, ratio, shape (n, 4). cube: the four dials each scaled to [0, 1], the first from
    its coarse to its fine end, shape (n, 4); a dial of one setting sits at ½. turned: which of the dials have more
    than one. fine: the first column of the cube. dose: log of dose over the middle of the dose dial. temp: degrees from
    the likely best, half-way between 92 °C and the middle of the dial, in units of 4 °C. ratio: log of the ratio over
    `USUAL_RATIO`. age: days from the day that the advice is for, in tens and levelling off, below 0 for earlier shots;
    0 where no day was noted.
    """

    raw: Floats
    fine: Floats
    dose: Floats
    temp: Floats
    ratio: Floats
    cube: Floats
    age: Floats
    turned: tuple[bool, ...]

    def rows(self, chosen: NDArray[np.intp] | Bools) -> Inputs:
        """The chosen recipes only."""
        return Inputs(
            raw=self.raw[chosen],
            fine=self.fine[chosen],
            dose=self.dose[chosen],
            temp=self.temp[chosen],
            ratio=self.ratio[chosen],
            cube=self.cube[chosen],
            age=self.age[chosen],
            turned=self.turned,
        )


def inputs(pairing: Pairing, recipes: Sequence[Recipe], age: Floats | None = None) -> Inputs:
    """The coordinates of recipes, on the dials or off them; on the day that the advice is for unless ages are given."""
    raw = np.array([(r.grind, r.dose_g, r.temp_c, pairing.ratio_of(r)) for r in recipes], dtype=float).reshape(-1, 4)
    return inputs_from_array(pairing, raw, age)


def inputs_from_array(pairing: Pairing, raw: Floats, age: Floats | None = None) -> Inputs:
    """The coordinates of n recipes given as rows of grind, dose_g, temp_c, ratio, shape (n, 4)."""
    cube = np.full(raw.shape, 0.5)
    for column, dial in enumerate(pairing.dials.values()):
        if not dial.fixed:
            cube[:, column] = (raw[:, column] - dial.low) / (dial.high - dial.low)
    if pairing.grinder.finer == "down" and not pairing.grinder.grind.fixed:
        cube[:, 0] = 1.0 - cube[:, 0]
    dose = pairing.basket.dose_g
    return Inputs(
        raw=raw,
        fine=cube[:, 0],
        dose=np.log(raw[:, 1] / ((dose.low + dose.high) / 2)),
        temp=(raw[:, 2] - likely_temp_c(pairing)) / TEMP_SPAN_C,
        ratio=np.log(raw[:, 3] / USUAL_RATIO),
        cube=cube,
        age=np.zeros(len(raw)) if age is None else age,
        turned=tuple(not dial.fixed for dial in pairing.dials.values()),
    )


def likely_temp_c(pairing: Pairing) -> float:
    """Where the best temperature lies before any shot, °C: the usual one, drawn to the middle of what can be set."""
    dial = pairing.machine.temp_c
    return (USUAL_TEMP_C + (dial.low + dial.high) / 2) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Observations:
    """n shots as arrays of shape (n,); nan where nothing was noted or it doesn't count.

    at: the recipes, each at the ratio that was pulled. log_time: log s. choked: pucks marked as choked. score,
    balance, extraction (yield, %): as noted, for shots without a fault. one, other, says: of K verdicts the two shots,
    and 1 where the one is better, 0 the same, −1 worse, (K,).
    """

    at: Inputs
    log_time: Floats
    score: Floats
    balance: Floats
    extraction: Floats
    choked: Bools
    one: NDArray[np.intp]
    other: NDArray[np.intp]
    says: Floats

    @property
    def scored(self) -> Bools:
        """Which shots count as tastings."""
        return ~np.isnan(self.score)


def observe(
    pairing: Pairing, shots: Sequence[Shot], today: date | None = None, verdicts: Sequence[Verdict] = ()
) -> Observations:
    """The most telling shots of a pairing as arrays; a shot with a fault keeps only what it still tells.

    shots: none of them a slip of the pen (`Pairing.meant`), which only the kit that they were pulled on can tell.
    today: the day that the advice is for; by default the day of the latest shot that has one.
    """
    judged = {place for it in verdicts for place in (it.one, it.other) if shots[place].fault is None}
    verdicts = [it for it in verdicts if it.one in judged and it.other in judged]
    tasted = [number for number, shot in enumerate(shots) if shot.tasted or number in judged]
    rest = [number for number, shot in enumerate(shots) if shot.tells and number not in tasted]
    places = sorted(_telling(shots, tasted) + _telling(shots, rest))
    shots, verdicts = [shots[number] for number in places], among(verdicts, places)
    return Observations(
        at=inputs(pairing, [pairing.as_pulled(shot) for shot in shots], _ages(pairing, shots, today)),
        log_time=np.log(np.array([shot.time_s if shot.timed else None for shot in shots], dtype=float)),
        score=np.array([shot.score if shot.tasted else None for shot in shots], dtype=float),
        balance=np.array([shot.balance if shot.fault is None else None for shot in shots], dtype=float),
        extraction=np.array([shot.extraction_yield_pct if shot.fault is None else None for shot in shots], dtype=float),
        choked=np.array([shot.fault == "choked" for shot in shots], dtype=bool),
        one=np.array([it.one for it in verdicts], dtype=int),
        other=np.array([it.other for it in verdicts], dtype=int),
        says=np.array([1 - SAYS.index(it.says) for it in verdicts], dtype=float),
    )


def _telling(shots: Sequence[Shot], numbers: Sequence[int]) -> list[int]:
    """The numbers of at most LATEST of these shots: the latest of every recipe first, then the one before it, and on.

    So a cup that is pulled day after day doesn't push out what was learned beside it.
    """
    seen = Counter[Recipe]()
    ranked = []
    for number in reversed(numbers):
        ranked.append((seen[shots[number].recipe], -number))
        seen[shots[number].recipe] += 1
    return [-number for _, number in sorted(ranked)[:LATEST]]


def _ages(pairing: Pairing, shots: Sequence[Shot], today: date | None) -> Floats:
    days = [pulled_on(pairing.bean, shot) for shot in shots]
    dated = [day for day in days if day is not None]
    if not dated:
        return np.zeros(len(shots))
    now = max(dated) if today is None else today
    return np.array([0.0 if day is None else aged(day, now) for day in days])


def aged(day: date, now: date) -> float:
    """How much older the beans were on `day` than `now`, in tens of days, levelling off over a month."""
    return OLDEST_DAYS / AGE_SPAN_DAYS * math.tanh((day - now).days / OLDEST_DAYS)
