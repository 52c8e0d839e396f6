"""What pairings are compared in: quantities that mean the same on any grinder, in sentences and in pictures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dialopt.report.sides import Shown
from dialopt.trade.shot import SCALE

if TYPE_CHECKING:
    from dialopt.model.observations import Floats

_BARS = "The thick bar holds it with a chance of 1 in 2, the thin line with 9 in 10."
_WHERE = f"Mark: at the recommended recipe. Bars: where the best cup lies, as far as the shots tell. {_BARS}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """value: at the sweet spot. draws: what may be true of it. more, less: how one differs from another by it.

    picture: its figure's name, title: what stands over it, axis: along it, scale: after a value, the unit unless said.
    key: how to read it. within: the ends of what there can be. dial: the one that sets it, where one alone does: what
    that dial doesn't offer can't have been found best. of_taste: whether it is somebody's liking.
    """

    name: str
    unit: str
    digits: int
    more: str
    less: str
    value: Callable[[Shown], float]
    draws: Callable[[Shown], Floats]
    picture: str
    title: str
    axis: str
    scale: str | None = None
    key: str = _WHERE
    within: tuple[float, float] | None = None
    dial: str | None = None
    of_taste: bool = False


QUANTITIES = (
    Quantity(
        name="Liking",
        unit="points",
        digits=1,
        more="is liked more",
        less="is liked less",
        value=lambda one: one.free.score.mean,
        draws=lambda one: one.standing.liking,
        picture="liking",
        title="Liking at each sweet spot",
        axis="liking",
        scale="of 10",
        key=f"Liking is the score that this palate would give on average. {_BARS}",
        within=SCALE,
        of_taste=True,
    ),
    Quantity(
        name="Time",
        unit="s",
        digits=0,
        more="runs longer",
        less="runs shorter",
        value=lambda one: one.free.time_s.mean,
        draws=lambda one: one.standing.time_s,
        picture="time",
        title="Shot time of the best cup",
        axis="time",
    ),
    Quantity(
        name="Flow",
        unit="g/s",
        digits=2,
        more="flows faster",
        less="flows slower",
        value=lambda one: one.free.flow_g_s,
        draws=lambda one: one.standing.flow_g_s,
        picture="flow",
        title="Flow of the best cup",
        axis="cup over time",
    ),
    Quantity(
        name="Brew water",
        unit="°C",
        digits=1,
        more="wants hotter water",
        less="wants cooler water",
        value=lambda one: one.free.temp_c,
        draws=lambda one: one.standing.temp_c,
        picture="temperature",
        title="Brew water of the best cup",
        axis="brew water",
        dial="temp_c",
    ),
    Quantity(
        name="Dose",
        unit="g",
        digits=1,
        more="wants more coffee",
        less="wants less coffee",
        value=lambda one: one.free.dose_g,
        draws=lambda one: one.standing.dose_g,
        picture="dose",
        title="Dose of the best cup",
        axis="dose",
        dial="dose_g",
    ),
)
