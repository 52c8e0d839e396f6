"""What plotly's pictures share: axes, bands, lines, and marks, which differ by symbol first and by colour second."""

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

LINE: Json = {"mode": "lines", "line": {"width": 2.5, "color": "var(--line)"}}
"""The look of what is expected."""
_BELOW: Json = {"orientation": "h", "x": 0, "xanchor": "left", "y": 0, "yanchor": "bottom"}
_LAYOUT: Json = {
    "paper_bgcolor": "rgba(0,0,0,0)",
    "plot_bgcolor": "rgba(0,0,0,0)",
    "font": {"color": "var(--ink)", "size": 13, "family": "system-ui, sans-serif"},
    "margin": {"l": 8, "r": 16, "t": 12, "b": 8},
    "height": 380,
    "dragmode": False,
    "hovermode": "closest",
    "hoverlabel": {"bgcolor": "var(--panel)", "bordercolor": "var(--rule)", "font": {"color": "var(--ink)"}},
    "showlegend": True,
    "legend": {**_BELOW, "yref": "container", "font": {"size": 12}},
}
_KINDS = (("tasted", "circle"), ("not tasted", "diamond"), ("with a fault", "x"))


def drawing(traces: Sequence[Any], **layout: Any) -> Json:
    """plotly's data and layout as plain values, checked by plotly. traces: plotly.graph_objects traces."""
    import plotly.graph_objects as go

    figure = go.Figure(data=list(traces), layout={**_LAYOUT, **layout})
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


def trace(x: Sequence[float], y: Any, name: str, says: str | Sequence[str] | None = None, **look: Any) -> go.Scatter:
    """A line or marks. says: what it says when pointed at, plotly's template or a text a mark; None: nothing."""
    import plotly.graph_objects as go

    if says is None:
        hover: Json = {"hoverinfo": "skip"}
    elif isinstance(says, str):
        hover = {"hovertemplate": f"{says}<extra></extra>"}
    else:
        hover = {"hoverinfo": "text", "text": list(says)}
    return go.Scatter(x=list(x), y=numbers(y), name=name, **hover, **look)


def band(
    x: Sequence[float], spans: Sequence[tuple[float, float]], name: str, *, outer: bool = False, **more: Any
) -> list[go.Scatter]:
    """The area between the lower and the upper ends. outer: whether it lies around another one, dotted and pale."""
    low, high = zip(*spans, strict=True)
    # The filling alone would hardly stand out from the ground.
    edge: Json = {"width": 1, "color": "var(--noise-line)", **({"dash": "dot"} if outer else {})}
    look = {"mode": "lines", "line": edge, **more}
    color = "var(--noise)" if outer else "var(--band)"
    return [
        trace(x, low, "", showlegend=False, **look),
        trace(x, high, name, fill="tonexty", fillcolor=color, **look),
    ]


def ends(estimates: Sequence[Estimate]) -> list[tuple[float, float]]:
    """The intervals of estimates."""
    return [(estimate.low, estimate.high) for estimate in estimates]


def interval_marks(
    x: Sequence[float], estimates: Sequence[Estimate], name: str, *, tick: tuple[int, float], bar: tuple[int, str]
) -> go.Scatter:
    """A tick at each mean with a bar over its interval. tick: length and width, px. bar: width, px, and colour."""
    return trace(
        x,
        [estimate.mean for estimate in estimates],
        name,
        mode="markers",
        marker={"symbol": "line-ew", "size": tick[0], "line": {"color": "var(--line)", "width": tick[1]}},
        error_y={
            "type": "data",
            "symmetric": False,
            "thickness": bar[0],
            "width": 0,
            "color": bar[1],
            "array": numbers([estimate.high - estimate.mean for estimate in estimates]),
            "arrayminus": numbers([estimate.mean - estimate.low for estimate in estimates]),
        },
    )


def marker(symbol: str, size: float, color: str = "var(--mark)") -> Json:
    """A mark with an edge, which sets it off from any ground."""
    edge = {"color": "var(--mark-edge)", "width": 1.5}
    return {"mode": "markers", "marker": {"symbol": symbol, "size": size, "color": color, "line": edge}}


def star_trace(x: float, y: float) -> go.Scatter:
    """The mark of the sweet spot."""
    return trace([x], [y], "sweet spot", "sweet spot", **marker("star", 17, "var(--star)"))


def meant(pairing: Pairing, log: Log) -> list[tuple[int, Shot]]:
    """The shots that belong on a picture, with their numbers: all but typing mistakes far off the dials."""
    return [(number, shot) for number, shot in log.items() if pairing.may_be_meant(shot.recipe)]


def shot_traces(places: Sequence[tuple[int, Shot, float, float]]) -> list[go.Scatter]:
    """A trace for each kind of shot there is. places: number, shot, x and y of each mark."""
    traces = []
    for kind, symbol in _KINDS:
        here = [(x, y, mark_says(number, shot)) for number, shot, x, y in places if _kind(shot) == kind]
        if here:
            x, y, says = zip(*here, strict=True)
            traces.append(trace(x, y, f"shot {kind}", says, **marker(symbol, 9)))
    return traces


def _kind(shot: Shot) -> str:
    if shot.fault is not None:
        return "with a fault"
    return "tasted" if shot.tasted else "not tasted"
