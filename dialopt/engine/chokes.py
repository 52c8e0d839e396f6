"""Pucks that choked: which of them count, and how fine they leave the dial open.

Flow stops all at once where the clock's straight line still promises a slow cup (common practice: the last steps before
a choke are the touchy ones), so a choke bounds the dial more than the model's clock says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dialopt.trade.likely_time import usual_time
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

LESS_COFFEE = 0.95
"""Share of the choked dose below which a puck is another one: it runs a tenth faster by the usual clock, and more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choke:
    """A puck that choked. ran: the finest grind at which one ran, coarser than this; None where none ran at all.
    ran_fast: whether that one ran fast, so that the right grind lies between the two.
    """

    recipe: Recipe
    ran: float | None
    ran_fast: bool

    @property
    def bound_g(self) -> float:
        """The dose from which on it speaks of a recipe, g."""
        return LESS_COFFEE * self.recipe.dose_g


def chokes(pairing: Pairing, shots: Sequence[Shot]) -> list[Choke]:
    """Those that count, in order: where something ran at least as fine, the choked puck was an odd one."""
    turn = -1 if pairing.grinder.finer == "down" else 1
    flowed = [shot for shot in shots if shot.tasted or shot.timed]
    ran = max((turn * shot.recipe.grind for shot in flowed), default=None)
    times = [
        usual_time(shot.time_s, pairing.ratio_of(shot.recipe))
        for shot in flowed
        if turn * shot.recipe.grind == ran and shot.timed and shot.time_s is not None
    ]
    fast = bool(times) and all(time == "fast" for time in times)
    return [
        Choke(recipe=shot.recipe, ran=None if ran is None else turn * ran, ran_fast=fast)
        for shot in shots
        if shot.fault == "choked" and (ran is None or ran < turn * shot.recipe.grind)
    ]
