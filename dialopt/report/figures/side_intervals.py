"""Each pairing's sweet spot as intervals: liking, time, flow, temperature, dose."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dialopt.report.figures.interval_chart import Row, interval_chart
from dialopt.report.figures.picture import Picture
from dialopt.report.sides import Shown
from dialopt.report.tables import Table
from dialopt.report.words import plain, span

if TYPE_CHECKING:
    from dialopt.model.table import Floats

_BARS = "The thick bar holds it with a chance of 1 in 2, the thin line with 9 in 10."
_WHERE = f"Mark: at the recommended recipe. Bars: where the best cup lies, as far as the shots tell. {_BARS}"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Quantity:
    """value: at the sweet spot. draws: what the bars are of. within: the ends of what there can be."""

    name: str
    title: str
    what: str
    unit: str
    digits: int
    value: Callable[[Shown], float]
    draws: Callable[[Shown], Floats]
    key: str = _WHERE
    within: tuple[float, float] | None = None


_QUANTITIES = (
    _Quantity(
        name="liking",
        title="Liking at each sweet spot",
        what="liking",
        unit="of 10",
        digits=1,
        value=lambda one: one.free.score.mean,
        draws=lambda one: one.standing.liking,
        key=f"Liking is the score that this palate would give on average. {_BARS}",
        within=(0.0, 10.0),
    ),
    _Quantity(
        name="time",
        title="Shot time of the best cup",
        what="time",
        unit="s",
        digits=0,
        value=lambda one: one.time_s,
        draws=lambda one: one.standing.time_s,
    ),
    _Quantity(
        name="flow",
        title="Flow of the best cup",
        what="cup over time",
        unit="g/s",
        digits=2,
        value=lambda one: one.free.yield_g / one.time_s,
        draws=lambda one: one.standing.flow_g_s,
    ),
    _Quantity(
        name="temperature",
        title="Brew water of the best cup",
        what="brew water",
        unit="°C",
        digits=1,
        value=lambda one: one.free.temp_c,
        draws=lambda one: one.standing.temp_c,
    ),
    _Quantity(
        name="dose",
        title="Dose of the best cup",
        what="dose",
        unit="g",
        digits=1,
        value=lambda one: one.free.dose_g,
        draws=lambda one: one.standing.dose_g,
    ),
)


def interval_pictures(shown: Sequence[Shown]) -> tuple[Picture, ...]:
    """One for each quantity that means the same on any grinder."""
    return tuple(_picture(shown, quantity) for quantity in _QUANTITIES)


def _picture(shown: Sequence[Shown], quantity: _Quantity) -> Picture:
    from dialopt.decisions.interval import central

    rows = [
        Row(
            number=one.number,
            label=one.label,
            value=quantity.value(one),
            likely=central(quantity.draws(one), 0.5),
            possible=central(quantity.draws(one), 0.9),
        )
        for one in shown
    ]
    digits, axis = quantity.digits, f"{quantity.what}, {quantity.unit}"
    cells = [
        (
            plain(row.value, digits),
            span(row.likely.low, row.likely.high, digits=digits),
            span(row.possible.low, row.possible.high, digits=digits),
        )
        for row in rows
    ]
    said = [f"{one.letter} {value} ({possible})" for one, (value, _, possible) in zip(shown, cells, strict=True)]
    alt = f"{quantity.title} with 90 % intervals, {quantity.unit}: {'; '.join(said)}."
    return Picture(
        name=quantity.name,
        title=quantity.title,
        alt=alt,
        key=quantity.key,
        drawing=interval_chart(rows, title=axis, digits=digits, alt=alt, within=quantity.within),
        table=Table(
            caption=f"{quantity.title}, {quantity.unit}",
            header=("pairing", "at the sweet spot", "50 %", "90 %"),
            rows=tuple((one.name, *cell) for one, cell in zip(shown, cells, strict=True)),
        ),
    )
