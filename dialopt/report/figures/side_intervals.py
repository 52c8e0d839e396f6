"""Each pairing's sweet spot as intervals: liking, time, flow, temperature, dose."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.report.figures.interval_chart import Row, interval_chart
from dialopt.report.figures.picture import Picture
from dialopt.report.quantities import QUANTITIES, Quantity
from dialopt.report.sides import Shown
from dialopt.report.tables import Table
from dialopt.text.formats import plain, span
from dialopt.text.quantities import QUANTITY_WORDS


def interval_pictures(shown: Sequence[Shown]) -> tuple[Picture, ...]:
    """One for each quantity that means the same on any grinder."""
    return tuple(_picture(shown, quantity) for quantity in QUANTITIES)


def _picture(shown: Sequence[Shown], quantity: Quantity) -> Picture:
    from dialopt.engine.interval import central

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
    words = QUANTITY_WORDS[quantity.name]
    digits, unit = words.digits, words.scale or words.unit
    cells = [
        (
            plain(row.value, digits),
            span(row.likely.low, row.likely.high, digits=digits),
            span(row.possible.low, row.possible.high, digits=digits),
        )
        for row in rows
    ]
    said = [f"{one.letter} {value} ({possible})" for one, (value, _, possible) in zip(shown, cells, strict=True)]
    alt = f"{words.title} with 90 % intervals, {unit}: {'; '.join(said)}."
    return Picture(
        name=quantity.name,
        title=words.title,
        alt=alt,
        key=words.key,
        drawing=interval_chart(rows, title=f"{words.axis}, {unit}", digits=digits, alt=alt, within=quantity.within),
        table=Table(
            caption=f"{words.title}, {unit}",
            header=("pairing", "at the sweet spot", "50 %", "90 %"),
            rows=tuple((one.name, *cell) for one, cell in zip(shown, cells, strict=True)),
        ),
    )
