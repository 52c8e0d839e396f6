"""Along one dial, at the sweet spot's settings of the others: shot time over the grind, and liking over any dial."""

from __future__ import annotations

import math
from dataclasses import replace

from dialopt.engine.advice import Advice
from dialopt.logbook.records import Log
from dialopt.report.figures.figure import Figure, Table
from dialopt.report.figures.plot import (
    LINE,
    axis,
    band,
    dial_axis,
    drawing,
    ends,
    interval_marks,
    meant,
    numbers,
    shot_traces,
    star_trace,
    trace,
)
from dialopt.text import captions
from dialopt.text.formats import joined, place, plain, score_span, setting
from dialopt.trade.pairing import DIAL_WORDS
from dialopt.trade.recipe import Recipe

_MOST = 60
"""Settings shown of a dial; one of more steps than this is also spoken of in several steps at once."""
_TICKS_S = (5, 10, 15, 20, 25, 30, 40, 60, 90, 120, 180, 300, 600)
_FEW_TICKS_S = (4, 8, 15, 30, 60, 120, 240, 480)
_LEAST_S = 3.0
"""No shot runs shorter; what is expected of settings far too coarse is drawn down to here."""
_MANY_TIMES = 8
"""Longest time over the shortest from which on few ticks stand apart, also on paper."""


def shot_time_figure(advice: Advice, log: Log) -> Figure:
    """Seconds along the grind dial, and the shots that were timed."""
    pairing, recipes = advice.pairing, along(advice, "grind")
    x, median = [recipe.grind for recipe in recipes], advice.predict(recipes).time_s
    one = [advice.predict_outcome(recipe, 0.9).time_s for recipe in recipes]
    shown = [
        (number, shot, shot.recipe.grind, shot.time_s)
        for number, shot in meant(pairing, log)
        if shot.time_s is not None and (shot.timed or shot.fault == "choked")
    ]
    if len(x) == 1:
        tick, bar = (22, 2.5), (12, "var(--band)")
        expected = [interval_marks(x, [replace(one[0], mean=float(median[0]))], "one shot, 90 %", tick=tick, bar=bar)]
        across = dial_axis(pairing, "grind", tickvals=x, range=[x[0] - 1, x[0] + 1])
    else:
        line = trace(x, median, "expected", "%{x}: %{y:.0f} s", **LINE)
        expected = [*band(x, ends(one), "one shot, 90 %"), line]
        across = dial_axis(pairing, "grind")
    logged = [time_s for *_, time_s in shown]
    shortest = min([max(min(span.low for span in one), _LEAST_S), *logged])
    longest = max([*(span.high for span in one), *logged])
    ticks = ticks_s(shortest, longest)
    others = _others(advice, "grind")
    return Figure(
        name="shot-time",
        title="Shot time by grind",
        alt=_turn(advice) + ("" if shown else " No shot was timed."),
        key=captions.shot_time_key(others, choked=any(shot.fault == "choked" for _, shot, _, _ in shown)),
        plot=drawing(
            [*expected, *shot_traces(shown)],
            xaxis=across,
            yaxis=axis(
                "time, s",
                type="log",
                range=numbers([math.log10(shortest / 1.1), math.log10(longest * 1.1)]),
                tickvals=list(ticks),
                ticktext=[str(tick) for tick in ticks],
            ),
        ),
        table=Table(
            caption=f"Expected shot time at {others}",
            header=("grind", "expected, s", "one shot, 90 %, s"),
            rows=tuple(
                (setting("grind", at), f"{time:.0f}", f"{plain(span.low, 0)} to {plain(span.high, 0)}")
                for at, time, span in zip(x, median, one, strict=True)
            ),
        ),
    )


def ticks_s(shortest: float, longest: float) -> tuple[int, ...]:
    """Times to write along an axis that shows these, s, and those between."""
    return _FEW_TICKS_S if longest > _MANY_TIMES * shortest else _TICKS_S


def _turn(advice: Advice) -> str:
    """What turning the grind does: by a step, or by several of a fine dial's steps at once."""
    grinder, spot = advice.pairing.grinder, advice.sweet_spot.recipe
    dial, home = grinder.grind, grinder.grind.snap(spot.grind)
    if dial.fixed:
        return captions.one_time_sentence(float(advice.predict([spot]).time_s[0]))
    step = max(round((dial.high - dial.low) / dial.step / _MOST), 1) * dial.step
    finer = -step if grinder.finer == "down" else step
    turned = next(grind for grind in (dial.snap(spot.grind + by) for by in (finer, -finer)) if grind != home)
    grinds = (turned, dial.low, dial.high)
    recipes = [spot, *(replace(spot, grind=grind) for grind in grinds)]
    here, there, low, high = advice.predict(recipes).time_s.tolist()
    steps = grinder.finer_steps(spot.grind, turned)
    return captions.turn_sentence(steps, here, there, [(dial.low, low), (dial.high, high)])


def liking_figure(advice: Advice, name: str, *, explain: bool = True) -> Figure:
    """Liking along a dial that can be turned, with what isn't known set apart from how a palate varies.

    explain: whether its key says what the bands are; a second one is read like the first.
    """
    recipes = along(advice, name)
    x, known = [getattr(recipe, name) for recipe in recipes], advice.predict(recipes)
    mean, low, high = (values.tolist() for values in (known.score_mean, known.score_low, known.score_high))
    one = [advice.predict_outcome(recipe, 0.9).score for recipe in recipes]
    best = getattr(advice.sweet_spot.recipe, name)
    home = x.index(best)
    worse = [i for i in range(len(x)) if mean[i] < mean[home] - 0.5]
    first = max((i + 1 for i in worse if i < home), default=0)
    last = min((i - 1 for i in worse if i > home), default=len(x) - 1)
    far = max(range(len(x)), key=lambda i: high[i] - low[i])
    good = captions.good_range_sentence(name, x[first], x[last], whole=(first, last) == (0, len(x) - 1))
    dial, others = DIAL_WORDS[name], _others(advice, name)
    return Figure(
        name=f"liking-{dial}",
        title=f"Liking by {dial}",
        alt=f"{good} {captions.least_known_sentence(name, x[far], low[far], high[far])}",
        key=f"At {others}." + (captions.LIKING_KEY if explain else ""),
        paper="third",
        plot=drawing(
            [
                *band(x, ends(one), "one cup's score, 90 %", outer=True),
                *band(x, list(zip(low, high, strict=True)), "liking, 90 %"),
                trace(x, mean, "liking, expected", "%{x}: %{y:.1f}", **LINE),
                star_trace(best, mean[home]),
            ],
            xaxis=dial_axis(advice.pairing, name),
            yaxis=axis("liking", range=[-0.2, 10.2], dtick=2),
            height=320,
        ),
        table=Table(
            caption=f"Liking by {dial}, at {others}",
            header=(dial, "expected", "liking, 90 %", "one cup's score, 90 %"),
            rows=tuple(
                (setting(name, at), f"{mean[i]:.1f}", f"{low[i]:.1f} to {high[i]:.1f}", score_span(one[i]))
                for i, at in enumerate(x)
            ),
        ),
    )


def along(advice: Advice, name: str) -> list[Recipe]:
    """The recipes along a dial, at most some sixty, at the sweet spot's settings of the others."""
    spot, dial = advice.sweet_spot.recipe, advice.pairing.dials[name]
    rest = {other: getattr(spot, other) for other in advice.pairing.dials if other != name}
    home = dial.snap(getattr(spot, name))
    settings = sorted({*dial.thinned(_MOST), home})
    return [spot if value == home else Recipe(**{name: value}, **rest) for value in settings]


def _others(advice: Advice, name: str) -> str:
    """The sweet spot's settings of the other dials."""
    spot = advice.pairing.noted(advice.sweet_spot.recipe)
    others = {other: getattr(spot, other) for other in advice.pairing.dials if other != name}
    return joined([place(other, value) for other, value in others.items() if value is not None])
