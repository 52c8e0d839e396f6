"""The shots in order, each with what had been predicted before it was pulled."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dialopt.report.figures.figure import Figure, axis, count_axis, drawing, numbers
from dialopt.report.figures.marks import marker
from dialopt.report.hindsight import MOST_LOOKS, Look
from dialopt.report.tables import Table
from dialopt.text.captions import SHOTS_KEY, off_bars_sentence
from dialopt.text.formats import plain, score_span
from dialopt.text.shots import mark_says


def shots_figure(looks: Sequence[Look]) -> Figure:
    """Noted scores over the predicted intervals. looks: at least one."""
    import plotly.graph_objects as go

    x = [look.number for look in looks]
    middle = [look.predicted.score.mean for look in looks]
    traces: list[Any] = [
        go.Scatter(
            x=x,
            y=numbers(middle),
            mode="markers",
            name="predicted, 90 %",
            hoverinfo="skip",
            marker={"symbol": "line-ew", "size": 12, "line": {"color": "var(--line)", "width": 2}},
            error_y={
                "type": "data",
                "symmetric": False,
                "thickness": 5,
                "width": 0,
                "color": "var(--noise-line)",
                "array": numbers([look.predicted.score.high - look.predicted.score.mean for look in looks]),
                "arrayminus": numbers([look.predicted.score.mean - look.predicted.score.low for look in looks]),
            },
        )
    ]
    for name, symbol, color, wanted in (
        ("score, as predicted", "circle", "var(--mark)", True),
        ("score, outside", "diamond", "var(--star)", False),
        ("score of a faulty shot", "x", "var(--mark)", None),
    ):
        here = [look for look in looks if look.inside is wanted and look.shot.score is not None]
        if here:
            traces.append(
                go.Scatter(
                    x=[look.number for look in here],
                    y=[look.shot.score for look in here],
                    text=[mark_says(look.number, look.shot) for look in here],
                    mode="markers",
                    name=name,
                    hoverinfo="text",
                    marker=marker(symbol, 10, color),
                )
            )
    cut = f" Only the last {MOST_LOOKS} shots are shown." if looks[0].before and len(looks) == MOST_LOOKS else ""
    return Figure(
        name="shots",
        title="Predicted and actual scores",
        alt=_alt(looks),
        key=SHOTS_KEY + cut,
        plot=drawing(
            traces,
            xaxis=count_axis("shot", min(x), max(x)),
            yaxis=axis(title={"text": "score", "standoff": 6}, range=[-0.3, 10.3], dtick=2),
        ),
        table=Table(
            caption="Predicted and actual scores",
            header=("shot", "predicted", "90 % interval", "noted", "within"),
            rows=tuple(_row(look) for look in looks),
        ),
    )


def _alt(looks: Sequence[Look]) -> str:
    outside = [look.number for look in looks if look.inside is False]
    off_bars = off_bars_sentence(outside, judged=any(look.inside is not None for look in looks))
    if len(looks) < 2:
        return off_bars
    first, last = (look.predicted.score.high - look.predicted.score.low for look in (looks[0], looks[-1]))
    return (
        f"{off_bars} The bar was {first:.1f} points long at shot {looks[0].number}, {last:.1f} at {looks[-1].number}."
    )


def _row(look: Look) -> tuple[str, ...]:
    score = look.predicted.score
    return (
        str(look.number),
        f"{score.mean:.1f}",
        score_span(score),
        "" if look.shot.score is None else plain(look.shot.score, 2),
        {True: "yes", False: "no", None: "doesn't count"}[look.inside],
    )
