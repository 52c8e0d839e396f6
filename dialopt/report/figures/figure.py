"""What every picture has: its drawing, a sentence that says what it shows, and its numbers as a table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

Json = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Text in rows under a header; the first cell of each row names the row."""

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slider:
    """Other states of a drawing: for each label, new values of some traces' fields, by the trace's number."""

    name: str
    labels: tuple[str, ...]
    start: int
    changes: tuple[Mapping[str, Json], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """name: unique in a page. alt: what the drawing shows, computed from its data. key: how to read it.

    plot: plotly's data and layout, where a colour such as "var(--ink)" stands for the page's style of that name, or the
    markup of an SVG. paper: the share of a printed page's width that it gets, "half" or "third".
    """

    name: str
    title: str
    alt: str
    key: str
    plot: Any
    table: Table
    slider: Slider | None = None
    paper: str = "half"
