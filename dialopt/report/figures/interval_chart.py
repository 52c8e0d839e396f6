"""Intervals one below the other: what is likely and what is possible of each pairing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dialopt.engine.advice import Estimate
from dialopt.report.figures.svg import WIDTH, Canvas, Scale, ticks
from dialopt.text.formats import LETTERS, plain, span

if TYPE_CHECKING:
    from markupsafe import Markup

ROW, TOP, BOTTOM, EDGE = 34.0, 6.0, 38.0, 8.0
VALUE = 112.0
"""Room on the right for the numbers."""
_MOST_LETTERS = 54


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """number: place of the pairing on the page, from 0. value: the dot. likely, possible: 50 % and 90 % intervals."""

    number: int
    label: str
    value: float
    likely: Estimate
    possible: Estimate


def interval_chart(
    rows: Sequence[Row], *, title: str, digits: int, alt: str, within: tuple[float, float] | None = None
) -> Markup:
    """A row for each, at least one. title: of the axis, with its unit. within: the ends of what there can be."""
    foot = TOP + ROW * len(rows)
    canvas = Canvas(foot + BOTTOM)
    low, high = _ends(rows, within)
    x = Scale(low=low, high=high, start=EDGE, end=WIDTH - EDGE - VALUE)
    for tick in ticks(low, high):
        canvas.line((x(tick), TOP), (x(tick), foot), "grid")
        canvas.text((x(tick), foot + 14), plain(tick, 2), "tick middle")
    canvas.line((EDGE, foot), (WIDTH - EDGE - VALUE, foot), "axis")
    canvas.text((WIDTH / 2 - VALUE / 2, foot + 31), title, "tick middle")
    for place, row in enumerate(rows):
        top, bar = TOP + ROW * place, TOP + ROW * place + 24
        canvas.text((EDGE, top + 12), LETTERS[row.number], f"letter ink-{row.number}")
        canvas.text((EDGE + 15, top + 12), shortened(row.label))
        possible = span(row.possible.low, row.possible.high, digits=digits)
        canvas.text((WIDTH - EDGE, bar + 4), f"{plain(row.value, digits)} ({possible})", "end number")
        canvas.line((x(row.possible.low), bar), (x(row.possible.high), bar), f"possible line-{row.number}")
        canvas.line((x(row.likely.low), bar), (x(row.likely.high), bar), f"likely line-{row.number}")
        canvas.mark(row.number, (x(row.value), bar), "dot", 5.5)
    return canvas.drawn(alt)


def shortened(label: str, most: int = _MOST_LETTERS) -> str:
    """A label that fits on its line, cut where it doesn't.

    >>> shortened("Nobody's Hill", 8)
    "Nobody'…"
    """
    return label if len(label) <= most else f"{label[: most - 1].rstrip()}…"


def _ends(rows: Sequence[Row], within: tuple[float, float] | None) -> tuple[float, float]:
    low = min(min(row.possible.low, row.value) for row in rows)
    high = max(max(row.possible.high, row.value) for row in rows)
    room = max(0.06 * (high - low), 0.05 * abs(high), 0.1) if high - low < 1e-9 else 0.06 * (high - low)
    low, high = low - room, high + room
    return (low, high) if within is None else (max(low, within[0]), min(high, within[1]))
