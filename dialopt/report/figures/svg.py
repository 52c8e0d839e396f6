"""Pictures as plain SVG: no script draws them, they scale to any width and take their colours from the page's style."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dialopt.text.formats import LETTERS

if TYPE_CHECKING:
    from markupsafe import Markup

WIDTH = 360.0
"""Units across. A phone shows them smaller by a tenth, a wide window larger by a third."""
Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """From values to places along the picture; `log` for equal ratios at equal lengths."""

    low: float
    high: float
    start: float
    end: float
    log: bool = False

    def __call__(self, value: float) -> float:
        """The place of a value; what lies beyond an end is put on it."""
        at = min(max(value, self.low), self.high)
        low, high, at = (math.log(v) if self.log else v for v in (self.low, self.high, at))
        return self.start + (self.end - self.start) * (at - low) / (high - low)


def ticks(low: float, high: float, most: int = 6) -> tuple[float, ...]:
    """Round values between two others, at most so many, 1, 2 or 5 times a power of ten apart.

    >>> ticks(17.2, 31)
    (20.0, 25.0, 30.0)
    """
    power = 10.0 ** math.floor(math.log10((high - low) / most))
    apart = next(step for step in (power, 2 * power, 5 * power, 10 * power) if (high - low) / step <= most)
    first, last = math.ceil(low / apart - 1e-9), math.floor(high / apart + 1e-9)
    return tuple(round(number * apart, 9) for number in range(first, last + 1))


class Canvas:
    """A picture in the making. kind: classes of the page's style. What is written on it is escaped."""

    def __init__(self, height: float) -> None:
        from markupsafe import Markup

        self._height = height
        self._markup = Markup
        self._parts: list[Markup] = []

    def line(self, start: Point, end: Point, kind: str) -> None:
        """A straight line."""
        self.curve([start, end], kind)

    def curve(self, points: Sequence[Point], kind: str) -> None:
        """A line through points."""
        self._add('<polyline class="{}" points="{}"/>', kind, _path(points))

    def text(self, at: Point, words: str, kind: str = "") -> None:
        """Words on one line; the classes "middle" and "end" say which part of them is at that point."""
        self._add('<text class="{}" x="{:.1f}" y="{:.1f}">{}</text>', kind, *at, words)

    def mark(self, number: int, at: Point, kind: str, radius: float = 5.0) -> None:
        """The mark of the pairing of that number, from 0."""
        x, y = at
        if number == 0:
            self._add('<circle class="{}" cx="{:.1f}" cy="{:.1f}" r="{:.1f}"/>', kind, x, y, radius)
            return
        corners = _CORNERS[number % len(LETTERS)]
        points = [(x + radius * size * math.sin(turn), y - radius * size * math.cos(turn)) for turn, size in corners]
        self._add('<polygon class="{}" points="{}"/>', kind, _path(points))

    def drawn(self, alt: str) -> Markup:
        """The whole, read out as one picture with this sentence."""
        opening = self._markup('<svg class="chart" viewBox="0 0 {:.0f} {:.0f}" role="img" aria-label="{}">\n')
        return (
            opening.format(WIDTH, self._height, alt) + self._markup("\n").join(self._parts) + self._markup("\n</svg>")
        )

    def _add(self, form: str, *values: object) -> None:
        self._parts.append(self._markup(form).format(*values))


def _path(points: Sequence[Point]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _star(tips: int, inner: float, turn: float = 0.0) -> list[tuple[float, float]]:
    """Corners of a star with so many tips as turns and sizes; 1 as the inner size makes a plain polygon."""
    return [
        (turn + math.pi * corner / tips, 1.15 if corner % 2 == 0 else 1.15 * inner)
        for corner in range(2 * tips)
        if inner < 1 or corner % 2 == 0
    ]


# One for each letter: marks, dashes and colours go by the place in it, so that no two look alike.
_CORNERS: tuple[list[tuple[float, float]], ...] = (
    [],
    _star(4, 1.0, math.pi / 4),  # square
    _star(3, 1.0),  # triangle
    _star(4, 1.0),  # diamond
    _star(3, 1.0, math.pi),  # triangle upside down
    _star(4, 0.4),  # star of four
    _star(4, 0.4, math.pi / 4),  # the same, turned
    _star(6, 1.0),  # hexagon
)
