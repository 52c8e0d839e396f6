"""How shots are marked, alike in every picture: by symbol first, by colour second."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dialopt.logbook.records import Log
from dialopt.text.shots import mark_says
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

_KINDS = (
    ("tasted", "circle"),
    ("not tasted", "diamond"),
    ("with a fault", "x"),
)


def meant(pairing: Pairing, log: Log) -> list[tuple[int, Shot]]:
    """The shots that belong on a picture, with their numbers: all but slips of the pen far off the dials."""
    return [(number, shot) for number, shot in log.items() if pairing.may_be_meant(shot.recipe)]


def kind(shot: Shot) -> str:
    """Which of the three kinds of mark a shot gets."""
    if shot.fault is not None:
        return "with a fault"
    return "tasted" if shot.tasted else "not tasted"


def marker(symbol: str, size: float, color: str = "var(--mark)") -> dict[str, Any]:
    """A mark with an edge, which sets it off from any ground."""
    return {"symbol": symbol, "size": size, "color": color, "line": {"color": "var(--mark-edge)", "width": 1.5}}


def star_trace(x: float, y: float) -> Any:
    """The mark of the sweet spot."""
    import plotly.graph_objects as go

    star = marker("star", 17, "var(--star)")
    return go.Scatter(x=[x], y=[y], mode="markers", name="sweet spot", hoverinfo="name", marker=star)


def shot_traces(places: Sequence[tuple[int, Shot, float, float]]) -> list[Any]:
    """A trace for each kind of shot there is. places: number, shot, x and y of each mark."""
    import plotly.graph_objects as go

    traces = []
    for name, symbol in _KINDS:
        here = [entry for entry in places if kind(entry[1]) == name]
        if here:
            traces.append(
                go.Scatter(
                    x=[x for _, _, x, _ in here],
                    y=[y for _, _, _, y in here],
                    text=[mark_says(number, shot) for number, shot, _, _ in here],
                    mode="markers",
                    name=f"shot {name}",
                    hoverinfo="text",
                    marker=marker(symbol, 9),
                )
            )
    return traces
