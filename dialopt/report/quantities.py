"""What pairings are compared in: quantities that mean the same on any grinder."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dialopt.report.sides import Shown
from dialopt.trade.shot import SCALE

if TYPE_CHECKING:
    from dialopt.model.observations import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """name: as in `QUANTITY_WORDS`. value: at the sweet spot. draws: what may be true of it.

    within: the ends of what there can be. dial: the one that sets it, where one alone does: what that dial doesn't
    offer can't have been found best. of_taste: whether it is somebody's liking.
    """

    name: str
    value: Callable[[Shown], float]
    draws: Callable[[Shown], Floats]
    within: tuple[float, float] | None = None
    dial: str | None = None
    of_taste: bool = False


QUANTITIES = (
    Quantity(
        name="liking",
        value=lambda one: one.free.score.mean,
        draws=lambda one: one.standing.liking,
        within=SCALE,
        of_taste=True,
    ),
    Quantity(name="time", value=lambda one: one.free.time_s.mean, draws=lambda one: one.standing.time_s),
    Quantity(name="flow", value=lambda one: one.free.flow_g_s, draws=lambda one: one.standing.flow_g_s),
    Quantity(
        name="temperature",
        value=lambda one: one.free.temp_c,
        draws=lambda one: one.standing.temp_c,
        dial="temp_c",
    ),
    Quantity(name="dose", value=lambda one: one.free.dose_g, draws=lambda one: one.standing.dose_g, dial="dose_g"),
)
