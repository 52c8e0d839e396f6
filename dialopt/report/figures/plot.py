"""What plotly's pictures share: axes, bands, lines, and marks, told apart by symbol first and by colour second."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dialopt.engine.advice import Estimate
from dialopt.logbook.records import Log
from dialopt.report.figures.figure import Json
from dialopt.text.captions import dial_title
from dialopt.text.shots import mark_says
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

if TYPE_CHECKING:
    import plotly.graph_objects as go

_EDGE: Json = {"width": 1, "color": "var(--noise-line)"}
"""The edge of a band: its filling alone would hardly stand out from the ground."""
_KINDS = (("tasted", "circle"), ("not tasted", "diamond"), ("with a fault", "x"))


def drawing(traces: Sequence[Any], **layout: Any) -> Json:
    """plotly's data and layout as plain values, checked by plotly. traces: plotly.graph_objects traces."""
    import plotly.graph_objects as go

    figure = go.Figure(data=list(traces), layout={**_common_layout(), **layout})
    plot: Json = figure.to_plotly_json()
    plot["layout"].pop("template", None)
    return plot


def axis(title: str = "", standoff: int = 6, **more: Any) -> Json:
    """An axis in the page's style."""
    return {
        **({"title": {"text": title, "standoff": standoff}} if title else {}),
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
    return axis(dial_title(pairing, name), 8, **more)


def count_axis(title: str, first: int, last: int, **more: Any) -> Json:
    """An axis of whole numbers, not too many of them written."""
    reach = last - first + 1
    apart = 1 if reach <= 8 else 2 if reach <= 18 else 5
    return axis(title, 8, range=[first - 0.7, last + 0.7], tick0=0, dtick=apart, **more)


def numbers(values: Any, digits: int = 3) -> list[Any]:
    """An array, or nested sequences, as rounded plain numbers."""
    rows = values.tolist() if hasattr(values, "tolist") else list(values)
    return [numbers(row, digits) if isinstance(row, list) else round(float(row), digits) for row in rows]


def band(
    x: Sequence[float], spans: Sequence[tuple[float, float]], name: str, *, outer: bool = False, **more: Any
) -> list[go.Scatter]:
    """The area between the lower and the upper ends. outer: whether it lies around another one, dotted and pale."""
    import plotly.graph_objects as go

    line = {**_EDGE, "dash": "dot"} if outer else _EDGE
    edge = {"x": x, "mode": "lines", "line": line, "hoverinfo": "skip", **more}
    fill = {"fill": "tonexty", "fillcolor": "var(--noise)" if outer else "var(--band)"}
    low, high = zip(*spans, strict=True)
    return [
        go.Scatter(y=numbers(low), showlegend=False, **edge),
        go.Scatter(y=numbers(high), name=name, **fill, **edge),
    ]


def ends(estimates: Sequence[Estimate]) -> list[tuple[float, float]]:
    """The intervals of estimates."""
    return [(estimate.low, estimate.high) for estimate in estimates]


def middle_line(x: Sequence[float], y: Any, name: str, says: str, **more: Any) -> go.Scatter:
    """What is expected. says: what it says when pointed at."""
    import plotly.graph_objects as go

    line = {"width": 2.5, "color": "var(--line)"}
    template = f"{says}<extra></extra>"
    return go.Scatter(x=x, y=numbers(y), mode="lines", line=line, name=name, hovertemplate=template, **more)


def interval_marks(
    x: Sequence[float],
    middles: Any,
    spans: Sequence[tuple[float, float]],
    name: str,
    *,
    tick: tuple[int, float],
    bar: tuple[int, str],
) -> go.Scatter:
    """A tick at each middle with a bar over its interval. tick: length and width, px. bar: width, px, and colour."""
    import plotly.graph_objects as go

    return go.Scatter(
        x=x,
        y=numbers(middles),
        mode="markers",
        name=name,
        hoverinfo="skip",
        marker={"symbol": "line-ew", "size": tick[0], "line": {"color": "var(--line)", "width": tick[1]}},
        error_y={
            "type": "data",
            "symmetric": False,
            "thickness": bar[0],
            "width": 0,
            "color": bar[1],
            "array": numbers([high - middle for middle, (_, high) in zip(middles, spans, strict=True)]),
            "arrayminus": numbers([middle - low for middle, (low, _) in zip(middles, spans, strict=True)]),
        },
    )


def marks(x: Sequence[float], y: Sequence[float], name: str, says: Sequence[str], marker: Json) -> go.Scatter:
    """Marks that say something when pointed at."""
    import plotly.graph_objects as go

    return go.Scatter(x=x, y=y, text=says, mode="markers", name=name, hoverinfo="text", marker=marker)


def marker(symbol: str, size: float, color: str = "var(--mark)") -> Json:
    """A mark with an edge, which sets it off from any ground."""
    return {"symbol": symbol, "size": size, "color": color, "line": {"color": "var(--mark-edge)", "width": 1.5}}


def star_trace(x: float, y: float) -> go.Scatter:
    """The mark of the sweet spot."""
    return marks([x], [y], "sweet spot", ["sweet spot"], marker("star", 17, "var(--star)"))


def meant(pairing: Pairing, log: Log) -> list[tuple[int, Shot]]:
    """The shots that belong on a picture, with their numbers: all but typing mistakes far off the dials."""
    return [(number, shot) for number, shot in log.items() if pairing.may_be_meant(shot.recipe)]


def shot_traces(places: Sequence[tuple[int, Shot, float, float]]) -> list[go.Scatter]:
    """A trace for each kind of shot there is. places: number, shot, x and y of each mark."""
    traces = []
    for kind, symbol in _KINDS:
        here = [entry for entry in places if _kind(entry[1]) == kind]
        if here:
            says, x, y = zip(*((mark_says(number, shot), x, y) for number, shot, x, y in here), strict=True)
            traces.append(marks(list(x), list(y), f"shot {kind}", list(says), marker(symbol, 9)))
    return traces


def _kind(shot: Shot) -> str:
    if shot.fault is not None:
        return "with a fault"
    return "tasted" if shot.tasted else "not tasted"


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
