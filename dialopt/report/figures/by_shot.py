"""Shot by shot: what was predicted and what came of it, how sure it became, and what the next shot may score."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from dialopt.engine.advice import Advice
from dialopt.report.figures.figure import Figure, Table
from dialopt.report.figures.plot import LINE, axis, band, count_axis, drawing, ends, interval_marks, marker, trace
from dialopt.report.hindsight import MOST_LOOKS, Look
from dialopt.text import captions
from dialopt.text.formats import plain, score_span
from dialopt.text.recipes import recipe_words
from dialopt.text.shots import mark_says

DOTS = 20
_BIN = 0.5
_DOTTED = {"mode": "lines+markers", "line": {**LINE["line"], "dash": "dot"}, "marker": {"size": 7, "symbol": "diamond"}}
_MARKS = (
    ("score, as predicted", "circle", "var(--mark)", True),
    ("score, outside", "diamond", "var(--star)", False),
    ("score of a faulty shot", "x", "var(--mark)", None),
)


def scores_figure(looks: Sequence[Look]) -> Figure:
    """Noted scores over the predicted intervals. looks: at least one."""
    x, predicted = [look.number for look in looks], [look.predicted.score for look in looks]
    tick, bar = (12, 2), (5, "var(--noise-line)")
    traces = [interval_marks(x, predicted, "predicted, 90 %", tick=tick, bar=bar)]
    for name, symbol, color, wanted in _MARKS:
        here = [
            (look.number, look.shot.score, mark_says(look.number, look.shot))
            for look in looks
            if look.inside is wanted and look.shot.score is not None
        ]
        if here:
            at, scores, says = zip(*here, strict=True)
            traces.append(trace(at, scores, name, says, **marker(symbol, 10, color)))
    cut = looks[0].before and len(looks) == MOST_LOOKS
    bars = [(look.number, look.predicted.score.high - look.predicted.score.low) for look in looks]
    title = "Predicted and actual scores"
    return Figure(
        name="scores",
        title=title,
        alt=captions.scores_caption(
            [look.number for look in looks if look.inside is False],
            [bars[0], bars[-1]] if len(bars) > 1 else [],
            judged=any(look.inside is not None for look in looks),
        ),
        key=captions.SCORES_KEY + (captions.last_only(MOST_LOOKS) if cut else ""),
        plot=drawing(
            traces, xaxis=count_axis("shot", min(x), max(x)), yaxis=axis("score", range=[-0.3, 10.3], dtick=2)
        ),
        table=Table(
            caption=title,
            header=("shot", "predicted", "90 % interval", "actual", "within"),
            rows=tuple(
                (
                    str(look.number),
                    f"{look.predicted.score.mean:.1f}",
                    score_span(look.predicted.score),
                    "" if look.shot.score is None else plain(look.shot.score, 2),
                    {True: "yes", False: "no", None: "doesn't count"}[look.inside],
                )
                for look in looks
            ),
        ),
    )


def sureness_figure(advice: Advice, looks: Sequence[Look]) -> Figure:
    """After each shot: how sure the sweet spot was close to the best, and its liking below. looks: at least one."""
    x = [look.before for look in looks] + [looks[-1].before + 1]
    chance = [look.prob_near_optimal for look in looks] + [advice.sweet_spot.prob_near_optimal]
    best = [look.best for look in looks] + [advice.sweet_spot.score]
    # Rounded down, as the chance in words is: never surer than what is known.
    percent = [math.floor(1000 * value + 1e-9) / 10 for value in chance]
    whole, means = [math.floor(value) for value in percent], [score.mean for score in best]
    return Figure(
        name="sureness",
        title="How sure, shot by shot",
        alt=captions.sureness_caption((x[0], whole[0]), (x[-1], whole[-1]), (best[0], best[-1])),
        key=captions.SURENESS_KEY,
        plot=drawing(
            [
                trace(x, percent, "chance of being close", "after %{x}: %{y:.0f} %", **_DOTTED),
                *band(x, ends(best), "liking, 90 %", yaxis="y2"),
                trace(x, means, "liking, expected", "after %{x}: %{y:.1f}", yaxis="y2", **LINE),
            ],
            xaxis=count_axis("shots pulled", x[0], x[-1], anchor="y2"),
            yaxis=axis("chance, %", range=[0, 103], dtick=50, domain=[0.56, 1]),
            yaxis2=axis("liking", range=[0, 10.3], dtick=5, domain=[0, 0.44]),
            height=340,
        ),
        table=Table(
            caption="What was known after each shot",
            header=("shots pulled", "chance of being close", "liking at the sweet spot, 90 %"),
            rows=tuple(
                (str(count), f"{chance} %", score_span(score))
                for count, chance, score in zip(x, whole, best, strict=True)
            ),
        ),
    )


def next_shot_figure(advice: Advice) -> Figure:
    """The next shot's score as quantile dots: each dot is a chance of 1 in 20."""
    recipe, outcomes = advice.pairing.noted(advice.next_recipe), quantiles(advice)
    x = [round(outcome / _BIN) * _BIN for outcome in outcomes]
    y = [x[: place + 1].count(shelf) for place, shelf in enumerate(x)]
    known, cup = advice.predict([recipe]), advice.predict_outcome(recipe, 0.9).score
    low, high = float(known.score_low[0]), float(known.score_high[0])
    dot, bar = {"symbol": "circle", "size": 13, "color": "var(--line)"}, {"width": 9, "color": "var(--noise-line)"}
    return Figure(
        name="next-shot",
        title="What the next shot may score",
        alt=captions.next_shot_caption(
            sum(outcome >= 7 for outcome in outcomes),
            DOTS,
            (outcomes[DOTS // 4], outcomes[-DOTS // 4 - 1]),
            high - low,
            cup.high - cup.low,
        ),
        key=captions.next_shot_key(recipe),
        plot=drawing(
            [
                trace(x, y, f"one cup, 1 in {DOTS} each", "score %{x}", mode="markers", marker=dot),
                trace([low, high], [0.1, 0.1], "liking, 90 %", "liking, 90 %", mode="lines", line=bar),
            ],
            xaxis=axis("score", 8, range=[-0.4, 10.4], dtick=1),
            yaxis=axis(visible=False, range=[-0.4, max(7, *Counter(x).values()) + 0.6]),
            height=290,
        ),
        table=Table(
            caption=f"Twenty equally likely scores of {recipe_words(recipe)}",
            header=("chance of this score or less", "score"),
            rows=tuple((f"{100 * (i + 0.5) / DOTS:.1f} %", f"{outcomes[i]:.1f}") for i in range(DOTS)),
        ),
    )


def quantiles(advice: Advice) -> list[float]:
    """The 2.5 %, 7.5 %, … 97.5 % quantiles of the next shot's score."""
    levels = [1 - (2 * number + 1) / DOTS for number in range(DOTS // 2)]
    scores = [advice.predict_outcome(advice.next_recipe, level).score for level in levels]
    return [score.low for score in scores] + [score.high for score in reversed(scores)]
