"""Liking along one dial, with what isn't known set apart from how a palate varies."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dialopt.engine.advice import Advice
from dialopt.report.figures.figure import INNER_EDGE, Figure, axis, dial_axis, drawing, numbers
from dialopt.report.figures.marks import star_trace
from dialopt.report.tables import Table
from dialopt.text.captions import PROFILE_KEY, good_range_sentence
from dialopt.text.formats import joined, place, score_span, setting
from dialopt.trade.pairing import DIAL_WORDS
from dialopt.trade.recipe import Recipe

if TYPE_CHECKING:
    from dialopt.report.lattice import Floats

_MOST = 60


def profile_figure(advice: Advice, name: str, *, explain: bool = True) -> Figure:
    """Liking along a dial that can be turned, at the sweet spot's settings of the others.

    explain: whether its key says what the bands are; a second profile is read like the first.
    """
    import plotly.graph_objects as go

    recipes = along(advice, name)
    x = [getattr(recipe, name) for recipe in recipes]
    known = advice.predict(recipes)
    mean = known.score_mean
    noted = [advice.predict_outcome(recipe, 0.9).score for recipe in recipes]
    low, high = known.score_low, known.score_high
    best = getattr(advice.sweet_spot.recipe, name)
    home = x.index(best)
    edge = {"mode": "lines", "hoverinfo": "skip"}
    traces = [
        go.Scatter(
            x=x,
            y=numbers([r.low for r in noted]),
            line={"width": 1, "dash": "dot", "color": "var(--noise-line)"},
            showlegend=False,
            **edge,
        ),
        go.Scatter(
            x=x,
            y=numbers([r.high for r in noted]),
            line={"width": 1, "dash": "dot", "color": "var(--noise-line)"},
            fill="tonexty",
            fillcolor="var(--noise)",
            name="one cup's score, 90 %",
            **edge,
        ),
        go.Scatter(x=x, y=numbers(low), line=INNER_EDGE, showlegend=False, **edge),
        go.Scatter(
            x=x,
            y=numbers(high),
            line=INNER_EDGE,
            fill="tonexty",
            fillcolor="var(--band)",
            name="liking, 90 %",
            **edge,
        ),
        go.Scatter(
            x=x,
            y=numbers(mean),
            mode="lines",
            line={"width": 2.5, "color": "var(--line)"},
            name="liking, expected",
            hovertemplate="%{x}: %{y:.1f}<extra></extra>",
        ),
        star_trace(best, round(float(mean[home]), 3)),
    ]
    pairing = advice.pairing
    others = joined([place(o, getattr(advice.sweet_spot.recipe, o)) for o in pairing.dials if o != name])
    return Figure(
        name=f"profile-{DIAL_WORDS[name]}",
        title=f"Liking along {DIAL_WORDS[name]}",
        alt=f"{_as_good(name, x, mean, home)} {_least_known(name, x, low, high)}",
        key=f"At {others}." + (PROFILE_KEY if explain else ""),
        paper="third",
        plot=drawing(
            traces,
            xaxis=dial_axis(pairing, name),
            yaxis=axis(title={"text": "liking", "standoff": 6}, range=[-0.2, 10.2], dtick=2),
            height=320,
        ),
        table=Table(
            caption=f"Liking along {DIAL_WORDS[name]}, at {others}",
            header=(DIAL_WORDS[name], "expected", "liking, 90 %", "one cup's score, 90 %"),
            rows=tuple(
                (
                    setting(name, value),
                    f"{mean[i]:.1f}",
                    f"{low[i]:.1f} to {high[i]:.1f}",
                    score_span(noted[i]),
                )
                for i, value in enumerate(x)
            ),
        ),
    )


def _as_good(name: str, x: list[float], mean: Floats, home: int) -> str:
    """How exactly the dial has to be set."""
    lost = [i for i in range(len(x)) if mean[i] < mean[home] - 0.5]
    first = max((i + 1 for i in lost if i < home), default=0)
    last = min((i - 1 for i in lost if i > home), default=len(x) - 1)
    return good_range_sentence(name, x[first], x[last], whole=(first, last) == (0, len(x) - 1))


def _least_known(name: str, x: list[float], low: Floats, high: Floats) -> str:
    far = int((high - low).argmax())
    return (
        f"Least is known at {place(name, x[far])}, where liking may be anything from {low[far]:.1f} to {high[far]:.1f}."
    )


def along(advice: Advice, name: str) -> list[Recipe]:
    """The recipes along a dial, at most some sixty, at the sweet spot's settings of the others."""
    spot, dial = advice.sweet_spot.recipe, advice.pairing.dials[name]
    rest = {other: getattr(spot, other) for other in advice.pairing.dials if other != name}
    home = dial.snap(getattr(spot, name))
    return [
        spot if value == home else Recipe(**{name: value}, **rest) for value in sorted({*dial.thinned(_MOST), home})
    ]
