"""How the uncertainty shrank, shot by shot."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.decisions.advice import Advice
from dialopt.decisions.odds import odds
from dialopt.report.figures.figure import Figure, axis, count_axis, drawing, numbers
from dialopt.report.hindsight import Look
from dialopt.report.tables import Table


def sureness_figure(advice: Advice, looks: Sequence[Look]) -> Figure:
    """After each shot: how sure the sweet spot was close to the best, and its liking. looks: at least one."""
    import plotly.graph_objects as go

    x = [look.number - 1 for look in looks] + [looks[-1].number]
    chance = [look.chance_close for look in looks] + [advice.sweet_spot.chance_close]
    best = [look.best for look in looks] + [advice.sweet_spot.score]
    percent = [round(100 * value, 1) for value in chance]
    return Figure(
        name="sureness",
        title="How sure, shot by shot",
        alt=(
            f"The chance that the sweet spot is within half a point of the best went from {percent[0]:.0f} % after "
            f"{x[0]} shots to {percent[-1]:.0f} % after {x[-1]}; the 90 % interval of its liking went from "
            f"{best[0].high - best[0].low:.1f} to {best[-1].high - best[-1].low:.1f} points wide."
        ),
        key="Line: chance that no other setting would be liked more by over half a point than the sweet spot of that "
        f"moment, now {odds(chance[-1])}. Bars: width of the 90 % interval of liking there; shorter is surer.",
        plot=drawing(
            [
                go.Bar(
                    x=x,
                    y=numbers([r.high - r.low for r in best], 2),
                    yaxis="y2",
                    name="interval of liking, points",
                    marker={"color": "var(--noise)", "line": {"color": "var(--noise-line)", "width": 1}},
                    width=0.6,
                    hovertemplate="after %{x}: %{y:.1f} points<extra></extra>",
                ),
                go.Scatter(
                    x=x,
                    y=percent,
                    mode="lines+markers",
                    name="chance of being close, %",
                    line={"color": "var(--line)", "width": 2.5},
                    marker={"size": 7},
                    hovertemplate="after %{x}: %{y:.0f} %<extra></extra>",
                ),
            ],
            xaxis=count_axis("shots pulled", x[0], x[-1]),
            yaxis=axis(title={"text": "chance, %", "standoff": 6}, range=[0, 103], dtick=20, overlaying="y2"),
            yaxis2=axis(title={"text": "points", "standoff": 6}, side="right", showgrid=False, rangemode="tozero"),
            height=320,
        ),
        table=Table(
            caption="What was known after each shot",
            header=("shots pulled", "chance of being close", "liking at the sweet spot, 90 %"),
            rows=tuple(
                (str(x[i]), f"{percent[i]:.0f} %", f"{best[i].low:.1f} to {best[i].high:.1f}") for i in range(len(x))
            ),
        ),
    )
