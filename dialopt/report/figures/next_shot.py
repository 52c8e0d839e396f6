"""What the next shot is expected to score, as twenty equally likely outcomes."""

from __future__ import annotations

from dialopt.decisions.advice import Advice
from dialopt.report.figures.figure import Figure, axis, drawing
from dialopt.report.tables import Table
from dialopt.report.words import recipe_words

DOTS = 20
_BIN = 0.5


def next_shot_figure(advice: Advice) -> Figure:
    """Quantile dots of the next shot's score: each dot is a chance of 1 in 20."""
    import plotly.graph_objects as go

    outcomes = quantiles(advice)
    heights: dict[float, int] = {}
    x, y = [], []
    for outcome in outcomes:
        shelf = round(outcome / _BIN) * _BIN
        heights[shelf] = heights.get(shelf, 0) + 1
        x.append(shelf)
        y.append(heights[shelf])
    good = sum(outcome >= 7 for outcome in outcomes)
    words = recipe_words(advice.next_recipe)
    return Figure(
        name="next-shot",
        title="What the next shot may score",
        alt=(
            f"The next shot, {words}: half of what it may score lies between {outcomes[DOTS // 4]:.1f} and "
            f"{outcomes[-DOTS // 4 - 1]:.1f}; {good} of {DOTS} are 7 or more."
        ),
        key=(
            f"For {words}. Each dot is an equal chance, 1 in {DOTS}, to the nearest half point; what isn't known and "
            "how palate and puck vary are both in it."
        ),
        plot=drawing(
            [
                go.Scatter(
                    x=x,
                    y=y,
                    mode="markers",
                    hovertemplate="score %{x}<extra></extra>",
                    showlegend=False,
                    marker={"symbol": "circle", "size": 13, "color": "var(--line)"},
                )
            ],
            xaxis=axis(title={"text": "score", "standoff": 8}, range=[-0.4, 10.4], dtick=1),
            yaxis=axis(visible=False, range=[0.2, max(7, *heights.values()) + 0.6]),
            height=260,
        ),
        table=Table(
            caption=f"Twenty equally likely scores of {words}",
            header=("chance of this score or less", "score"),
            rows=tuple((f"{100 * (i + 0.5) / DOTS:.1f} %", f"{outcomes[i]:.1f}") for i in range(DOTS)),
        ),
    )


def quantiles(advice: Advice) -> list[float]:
    """The 2.5 %, 7.5 %, … 97.5 % quantiles of the next shot's score."""
    lows, highs = [], []
    for number in range(DOTS // 2):
        score = advice.foretell(advice.next_recipe, 1 - (2 * number + 1) / DOTS).score
        lows.append(score.low)
        highs.append(score.high)
    return lows + highs[::-1]
