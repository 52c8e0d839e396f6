"""How the uncertainty shrank, shot by shot."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dialopt.engine.advice import Advice
from dialopt.report.figures.figure import INNER_EDGE, Figure, axis, count_axis, drawing, numbers
from dialopt.report.hindsight import Look
from dialopt.report.tables import Table
from dialopt.text.captions import SURENESS_KEY
from dialopt.text.formats import counted, score_span


def sureness_figure(advice: Advice, looks: Sequence[Look]) -> Figure:
    """After each shot: how sure the sweet spot was close to the best, and its liking below. looks: at least one."""
    import plotly.graph_objects as go

    x = [look.before for look in looks] + [looks[-1].before + 1]
    chance = [look.prob_near_optimal for look in looks] + [advice.sweet_spot.prob_near_optimal]
    best = [look.best for look in looks] + [advice.sweet_spot.score]
    # Rounded down, as the chance in words is: never surer than what is known.
    percent = [math.floor(1000 * value + 1e-9) / 10 for value in chance]
    first, last = (f"{liking.high - liking.low:.1f}" for liking in (best[0], best[-1]))
    line = {"color": "var(--line)", "width": 2.5}
    edge = {"mode": "lines", "line": INNER_EDGE, "hoverinfo": "skip", "yaxis": "y2"}
    return Figure(
        name="sureness",
        title="How sure, shot by shot",
        alt=(
            f"The chance of being close went from {math.floor(percent[0])} % after {_shots(x[0])} to "
            f"{math.floor(percent[-1])} % after {_shots(x[-1])}; what isn't known of the liking at the sweet spot, "
            f"from {first} to {last} points."
        ),
        key=SURENESS_KEY,
        plot=drawing(
            [
                go.Scatter(
                    x=x,
                    y=percent,
                    mode="lines+markers",
                    name="chance of being close",
                    line={**line, "dash": "dot"},
                    marker={"size": 7, "symbol": "diamond"},
                    hovertemplate="after %{x}: %{y:.0f} %<extra></extra>",
                ),
                go.Scatter(x=x, y=numbers([liking.low for liking in best], 2), showlegend=False, **edge),
                go.Scatter(
                    x=x,
                    y=numbers([liking.high for liking in best], 2),
                    fill="tonexty",
                    fillcolor="var(--band)",
                    name="liking, 90 %",
                    **edge,
                ),
                go.Scatter(
                    x=x,
                    y=numbers([liking.mean for liking in best], 2),
                    yaxis="y2",
                    mode="lines",
                    name="liking, expected",
                    line=line,
                    hovertemplate="after %{x}: %{y:.1f}<extra></extra>",
                ),
            ],
            xaxis=count_axis("shots pulled", x[0], x[-1], anchor="y2"),
            yaxis=axis(title={"text": "chance, %", "standoff": 6}, range=[0, 103], dtick=50, domain=[0.56, 1]),
            yaxis2=axis(title={"text": "liking", "standoff": 6}, range=[0, 10.3], dtick=5, domain=[0, 0.44]),
            height=340,
        ),
        table=Table(
            caption="What was known after each shot",
            header=("shots pulled", "chance of being close", "liking at the sweet spot, 90 %"),
            rows=tuple((str(x[i]), f"{math.floor(percent[i])} %", score_span(liking)) for i, liking in enumerate(best)),
        ),
    )


def _shots(count: int) -> str:
    return counted(count, "shot") if count else "no shot"
