"""Two kinds of chart: lines over one axis, and intervals one below the other. Pairings differ by letter, mark and
dash before colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dialopt.engine.advice import Estimate
from dialopt.report.figures.svg import WIDTH, Canvas, Point, Scale, ticks
from dialopt.text.formats import LETTERS, fixed, plain

if TYPE_CHECKING:
    from markupsafe import Markup

LEFT, RIGHT, TOP, FOOT, HEIGHT = 36.0, 24.0, 20.0, 216.0, 254.0
_APART = 12.0
_ROW, _ROWS_TOP, _BELOW, _EDGE = 34.0, 6.0, 38.0, 8.0
_VALUE = 112.0
"""Room on the right for the numbers."""
_MOST_LETTERS = 54


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """number: place of the pairing on the page, from 0. points: from left to right. marks: where its mark stands."""

    number: int
    points: Sequence[Point]
    marks: Sequence[Point]


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """title: with its unit. ticks: places and what is written there. low, high: what is shown."""

    title: str
    ticks: Sequence[tuple[float, str]]
    low: float
    high: float
    log: bool = False


def line_chart(lines: Sequence[Line], *, x: Axis, y: Axis, alt: str, rule: float | None = None) -> Markup:
    """The lines. rule: a value of y that is drawn across for comparison."""
    canvas = Canvas(HEIGHT)
    across = Scale(low=x.low, high=x.high, start=LEFT, end=WIDTH - RIGHT, log=x.log)
    up = Scale(low=y.low, high=y.high, start=FOOT, end=TOP, log=y.log)
    for value, words in y.ticks:
        canvas.line((LEFT, up(value)), (WIDTH - RIGHT, up(value)), "grid")
        canvas.text((LEFT - 5, up(value) + 4), words, "tick end")
    for value, words in x.ticks:
        canvas.line((across(value), FOOT), (across(value), FOOT + 4), "axis")
        canvas.text((across(value), FOOT + 16), words, "tick middle")
    if rule is not None:
        canvas.line((LEFT, up(rule)), (WIDTH - RIGHT, up(rule)), "rule")
    canvas.line((LEFT, FOOT), (WIDTH - RIGHT, FOOT), "axis")
    canvas.text(((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 6), x.title, "tick middle")
    canvas.text((2, 10), y.title, "tick")
    drawn = [(line, [(across(a), up(b)) for a, b in line.points]) for line in lines if line.points]
    for line, points in drawn:
        canvas.curve(points, f"curve line-{line.number} dash-{line.number}")
    for line, _ in drawn:
        for a, b in line.marks:
            canvas.mark(line.number, (across(a), up(b)), f"mark fill-{line.number}", 4.0)
    ends = [points[-1] for _, points in drawn]
    for (line, _), (end_x, _), height in zip(drawn, ends, spread([end_y for _, end_y in ends]), strict=True):
        canvas.text((end_x + 7, height + 4), LETTERS[line.number], f"letter ink-{line.number}")
    return canvas.drawn(alt)


def spread(heights: Sequence[float], apart: float = _APART, top: float = TOP, foot: float = FOOT) -> list[float]:
    """The heights moved as little as keeps labels from covering each other, within the picture.

    Least squares under an order: with each place's share of the room taken off, neighbours that would cross are put on
    their mean (pooling of adjacent violators).

    >>> spread([100, 101, 50])
    [94.5, 106.5, 50.0]
    """
    order = sorted(range(len(heights)), key=lambda number: heights[number])
    pools: list[tuple[float, int]] = []  # mean, how many
    for rank, number in enumerate(order):
        mean, count = heights[number] - rank * apart, 1
        while pools and pools[-1][0] > mean:
            before, many = pools.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        pools.append((mean, count))
    last = foot - (len(order) - 1) * apart
    means = [min(max(mean, top), last) for mean, count in pools for _ in range(count)]
    placed = dict(zip(order, (mean + rank * apart for rank, mean in enumerate(means)), strict=True))
    return [placed[number] for number in range(len(heights))]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """number: place of the pairing on the page, from 0. value: the dot. likely, possible: 50 % and 90 % intervals."""

    number: int
    label: str
    value: float
    likely: Estimate
    possible: Estimate

    def cells(self, digits: int) -> tuple[str, str, str]:
        """The value and the two intervals, all with so many decimals."""
        likely, possible = (
            f"{fixed(interval.low, digits)} to {fixed(interval.high, digits)}"
            for interval in (self.likely, self.possible)
        )
        return fixed(self.value, digits), likely, possible


def interval_chart(
    rows: Sequence[Row], *, title: str, digits: int, alt: str, within: tuple[float, float] | None = None
) -> Markup:
    """A row for each, at least one. title: of the axis, with its unit. within: the ends of what there can be."""
    foot, right = _ROWS_TOP + _ROW * len(rows), WIDTH - _EDGE
    end = right - _VALUE
    canvas = Canvas(foot + _BELOW)
    low, high = _ends(rows, within)
    x = Scale(low=low, high=high, start=_EDGE, end=end)
    for tick in ticks(low, high):
        canvas.line((x(tick), _ROWS_TOP), (x(tick), foot), "grid")
        canvas.text((x(tick), foot + 14), plain(tick, 2), "tick middle")
    canvas.line((_EDGE, foot), (end, foot), "axis")
    canvas.text(((_EDGE + end) / 2, foot + 31), title, "tick middle")
    for place, row in enumerate(rows):
        top, bar = _ROWS_TOP + _ROW * place, _ROWS_TOP + _ROW * place + 24
        canvas.text((_EDGE, top + 12), LETTERS[row.number], f"letter ink-{row.number}")
        canvas.text((_EDGE + 15, top + 12), shortened(row.label))
        value, _, possible = row.cells(digits)
        canvas.text((right, bar + 4), f"{value} ({possible})", "end number")
        for kind, interval in (("possible", row.possible), ("likely", row.likely)):
            canvas.line((x(interval.low), bar), (x(interval.high), bar), f"{kind} line-{row.number}")
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
