"""What every picture has: its drawing, a sentence that says what it shows, and its numbers as a table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from dialopt.report.tables import Table
from dialopt.text.recipes import finer_words
from dialopt.trade.pairing import Pairing

Json = dict[str, Any]


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

    plot: plotly's data and layout; a colour such as "var(--ink)" stands for the page's style of that name. paper: the
    share of a printed page's width that it gets, "half" or "third".
    """

    name: str
    title: str
    alt: str
    key: str
    plot: Json
    table: Table
    slider: Slider | None = None
    paper: str = "half"


INNER_EDGE: Json = {"width": 1, "color": "var(--noise-line)"}
"""The edge of a band: its filling alone would hardly stand out from the ground."""


def drawing(traces: Sequence[Any], **layout: Any) -> Json:
    """plotly's data and layout as plain values, checked by plotly. traces: plotly.graph_objects traces."""
    import plotly.graph_objects as go

    figure = go.Figure(data=list(traces), layout=_merged(_common_layout(), layout))
    plot: Json = figure.to_plotly_json()
    plot["layout"].pop("template", None)
    return plot


def axis(**more: Any) -> Json:
    """An axis in the page's style."""
    return {
        "gridcolor": "var(--grid)",
        "linecolor": "var(--rule)",
        "zeroline": False,
        "ticks": "outside",
        "tickcolor": "var(--rule)",
        "fixedrange": True,
        "automargin": True,
        **more,
    }


def dial_axis(pairing: Pairing, name: str, **more: Any) -> Json:
    """The axis of a dial, its unit and the way it runs in its title."""
    title = {
        "grind": f"grind setting ({finer_words(pairing)})",
        "dose_g": "dose, g",
        "temp_c": "brew water, °C",
    }[name]
    return axis(title={"text": title, "standoff": 8}, **more)


def count_axis(title: str, first: int, last: int, **more: Any) -> Json:
    """An axis of whole numbers, not too many of them written."""
    reach = last - first + 1
    return axis(
        title={"text": title, "standoff": 8},
        range=[first - 0.7, last + 0.7],
        tick0=0,
        dtick=1 if reach <= 8 else 2 if reach <= 18 else 5,
        **more,
    )


def numbers(values: Any, digits: int = 3) -> list[Any]:
    """An array, or nested sequences, as rounded plain numbers."""
    rows = values.tolist() if hasattr(values, "tolist") else list(values)
    return [numbers(row, digits) if isinstance(row, list) else round(float(row), digits) for row in rows]


def _common_layout() -> Json:
    return {
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "font": {"color": "var(--ink)", "size": 13, "family": "system-ui, sans-serif"},
        "margin": {"l": 8, "r": 16, "t": 12, "b": 8},
        "height": 380,
        "dragmode": False,
        "hovermode": "closest",
        "hoverlabel": {"bgcolor": "var(--panel)", "bordercolor": "var(--rule)", "font": {"color": "var(--ink)"}},
        "showlegend": True,
        "legend": {
            "orientation": "h",
            "x": 0,
            "xanchor": "left",
            "yref": "container",
            "y": 0,
            "yanchor": "bottom",
            "font": {"size": 12},
        },
    }


def _merged(base: Json, over: Json) -> Json:
    both = dict(base)
    for key, value in over.items():
        both[key] = _merged(base[key], value) if isinstance(base.get(key), dict) and isinstance(value, dict) else value
    return both
