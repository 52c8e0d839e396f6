"""What the next shot is expected to score, as twenty equally likely outcomes."""

from __future__ import annotations

from dialopt.engine.advice import Advice
from dialopt.report.figures.figure import Figure, axis, drawing, numbers
from dialopt.report.tables import Table
from dialopt.text.recipes import recipe_words

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
    known = advice.predict([advice.next_recipe])
    low, high = float(known.score_low[0]), float(known.score_high[0])
    cup = advice.predict_outcome(advice.next_recipe, 0.9).score
    return Figure(
        name="next-shot",
        title="What the next shot may score",
        alt=(
            f"{good} of the {DOTS} dots are 7 or more, half of them lie between {outcomes[DOTS // 4]:.1f} and "
            f"{outcomes[-DOTS // 4 - 1]:.1f}. What isn't known of this recipe spans {high - low:.1f} points, one "
            f"cup's score {cup.high - cup.low:.1f}: the rest is palate and puck."
        ),
        key=(
            f"For {words}. Each dot is a score as likely as every other, to the nearest half point. The bar below is "
            "the liking: were it known exactly, the dots would still spread."
        ),
        plot=drawing(
            [
                go.Scatter(
                    x=x,
                    y=y,
                    mode="markers",
                    hovertemplate="score %{x}<extra></extra>",
                    name=f"one cup, 1 in {DOTS} each",
                    marker={"symbol": "circle", "size": 13, "color": "var(--line)"},
                ),
                go.Scatter(
                    x=numbers([low, high]),
                    y=[0.1, 0.1],
                    mode="lines",
                    name="liking, 90 %",
                    hoverinfo="name",
                    line={"width": 9, "color": "var(--noise-line)"},
                ),
            ],
            xaxis=axis(title={"text": "score", "standoff": 8}, range=[-0.4, 10.4], dtick=1),
            yaxis=axis(visible=False, range=[-0.4, max(7, *heights.values()) + 0.6]),
            height=290,
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
        score = advice.predict_outcome(advice.next_recipe, 1 - (2 * number + 1) / DOTS).score
        lows.append(score.low)
        highs.append(score.high)
    return lows + highs[::-1]
