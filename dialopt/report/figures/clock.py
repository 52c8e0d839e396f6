"""The shot clock against the grind."""

from __future__ import annotations

from dialopt.engine.advice import Advice
from dialopt.logbook.records import Log
from dialopt.report.figures.figure import INNER_EDGE, Figure, axis, dial_axis, drawing, numbers
from dialopt.report.figures.marks import meant, shot_traces
from dialopt.report.figures.profile import along
from dialopt.report.tables import Table
from dialopt.text.captions import CHOKED_KEY, CLOCK_KEY, turn_sentence
from dialopt.text.formats import place, plain, setting
from dialopt.trade.recipe import Recipe

_WORTH_A_WORD = 60
"""A dial of more steps than this is spoken of in several steps at once."""
_TICKS_S = (5, 10, 15, 20, 25, 30, 40, 60, 90, 120, 180, 300, 600)
_FEW_TICKS_S = (4, 8, 15, 30, 60, 120, 240, 480)
_MANY_TIMES = 8
"""Longest time over the shortest from which on few ticks stand apart, also on paper."""


def clock_figure(advice: Advice, log: Log) -> Figure:
    """Seconds along the grind dial at the sweet spot's dose and temperature, and the shots that were timed."""
    import plotly.graph_objects as go

    pairing, spot = advice.pairing, advice.sweet_spot.recipe
    recipes = along(advice, "grind")
    x = [recipe.grind for recipe in recipes]
    median = advice.predict(recipes).time_s
    one = [advice.predict_outcome(recipe, 0.9).time_s for recipe in recipes]
    shown = [
        (number, shot, shot.recipe.grind, shot.time_s)
        for number, shot in meant(pairing, log)
        if shot.time_s is not None and (shot.timed or shot.fault == "choked")
    ]
    choked = any(shot.fault == "choked" for _, shot, _, _ in shown)
    edge = {"mode": "lines", "line": INNER_EDGE, "hoverinfo": "skip"}
    expected = [
        go.Scatter(x=x, y=numbers([r.low for r in one], 1), showlegend=False, **edge),
        go.Scatter(
            x=x,
            y=numbers([r.high for r in one], 1),
            fill="tonexty",
            fillcolor="var(--band)",
            name="one shot, 90 %",
            **edge,
        ),
        go.Scatter(
            x=x,
            y=numbers(median, 1),
            mode="lines",
            line={"width": 2.5, "color": "var(--line)"},
            name="expected",
            hovertemplate="%{x}: %{y:.0f} s<extra></extra>",
        ),
    ]
    if len(x) == 1:
        expected = [
            go.Scatter(
                x=x,
                y=numbers(median, 1),
                mode="markers",
                name="one shot, 90 %",
                hoverinfo="skip",
                marker={"symbol": "line-ew", "size": 22, "line": {"color": "var(--line)", "width": 2.5}},
                error_y={
                    "type": "data",
                    "symmetric": False,
                    "thickness": 12,
                    "width": 0,
                    "color": "var(--band)",
                    "array": numbers([one[0].high - median[0]], 1),
                    "arrayminus": numbers([median[0] - one[0].low], 1),
                },
            )
        ]
    traces = [
        *expected,
        *shot_traces(shown),
    ]
    ticks = ticks_s(min(span.low for span in one), max(span.high for span in one))
    others = f"{place('dose_g', spot.dose_g)} and {place('temp_c', spot.temp_c)}"
    return Figure(
        name="clock",
        title="Shot clock against grind",
        alt=_alt(advice) + ("" if shown else " No shot was timed."),
        key=f"Line and band are for {others}; {CLOCK_KEY}{CHOKED_KEY if choked else ''}",
        plot=drawing(
            traces,
            xaxis=dial_axis(
                pairing, "grind", **({"tickvals": x, "range": [x[0] - 1, x[0] + 1]} if len(x) == 1 else {})
            ),
            yaxis=axis(
                title={"text": "time, s", "standoff": 6},
                type="log",
                tickvals=list(ticks),
                ticktext=[str(tick) for tick in ticks],
            ),
        ),
        table=Table(
            caption=f"Expected shot time at {others}",
            header=("grind", "expected, s", "one shot, 90 %, s"),
            rows=tuple(
                (setting("grind", x[i]), f"{median[i]:.0f}", f"{plain(one[i].low, 0)} to {plain(one[i].high, 0)}")
                for i in range(len(x))
            ),
        ),
    )


def ticks_s(shortest: float, longest: float) -> tuple[int, ...]:
    """Times to write along an axis that shows these, s, and those between."""
    return _FEW_TICKS_S if longest > _MANY_TIMES * shortest else _TICKS_S


def _alt(advice: Advice) -> str:
    """What turning the grind does to the clock: by a step, or by enough of a fine dial's steps to be worth a word."""
    pairing, spot = advice.pairing, advice.sweet_spot.recipe
    dial = pairing.dials["grind"]
    here = float(advice.predict([spot]).time_s[0])
    if dial.fixed:
        return f"At the sweet spot a shot takes about {here:.0f} s."
    steps = max(round((dial.high - dial.low) / dial.step / _WORTH_A_WORD), 1)
    finer = -1 if pairing.grinder.finer == "down" else 1
    turned = next(
        grind
        for grind in (dial.snap(spot.grind + way * steps * dial.step) for way in (finer, -finer))
        if grind != dial.snap(spot.grind)
    )
    there = float(advice.predict([Recipe(grind=turned, dose_g=spot.dose_g, temp_c=spot.temp_c)]).time_s[0])
    ends = advice.predict([Recipe(grind=end, dose_g=spot.dose_g, temp_c=spot.temp_c) for end in (dial.low, dial.high)])
    return turn_sentence(
        pairing.grinder.finer_steps(spot.grind, turned),
        here,
        there,
        [(dial.low, float(ends.time_s[0])), (dial.high, float(ends.time_s[1]))],
    )
