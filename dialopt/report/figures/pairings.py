"""Several pairings in one picture: intervals of each quantity, shot times over the grind, and how sure each became."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dialopt.engine.interval import central
from dialopt.report.figures.charts import Axis, Line, Row, interval_chart, line_chart
from dialopt.report.figures.figure import Figure, Table
from dialopt.report.figures.svg import Point, ticks
from dialopt.report.sides import QUANTITIES, Quantity, Shown
from dialopt.text import captions
from dialopt.text.formats import fixed, plain, setting
from dialopt.text.quantities import QUANTITY_WORDS
from dialopt.trade.grinder_independent import MARK_S

_LOW_S, _HIGH_S = 8.0, 90.0
_TICKS_S = (8, 10, 15, 20, 25, 30, 40, 60, 90)
_MOST_SETTINGS, _MOST_ROWS = 60, 12


def pairing_figures(shown: Sequence[Shown]) -> tuple[Figure, ...]:
    """Those that make sense for these pairings, in reading order."""
    return (*interval_figures(shown), *shot_time_figures(shown), *learning_figures(shown))


def interval_figures(shown: Sequence[Shown]) -> tuple[Figure, ...]:
    """One for each quantity that means the same on any grinder. Those that are read alike say how but once."""
    keys = [QUANTITY_WORDS[quantity.name].key for quantity in QUANTITIES]
    return tuple(
        _intervals(shown, quantity, "" if key in keys[:place] else key)
        for place, (quantity, key) in enumerate(zip(QUANTITIES, keys, strict=True))
    )


def _intervals(shown: Sequence[Shown], quantity: Quantity, key: str) -> Figure:
    rows = [
        Row(
            number=one.number,
            label=one.label,
            value=quantity.value(one),
            likely=central(quantity.draws(one), 0.5),
            possible=central(quantity.draws(one), 0.9),
        )
        for one in shown
    ]
    words = QUANTITY_WORDS[quantity.name]
    cells = [row.cells(words.digits) for row in rows]
    alt = captions.intervals_caption(
        words, [(one.letter, value, possible) for one, (value, _, possible) in zip(shown, cells, strict=True)]
    )
    unit = words.scale or words.unit
    return Figure(
        name=quantity.name,
        title=words.title,
        alt=alt,
        key=key,
        plot=interval_chart(rows, title=f"{words.axis}, {unit}", digits=words.digits, alt=alt, within=quantity.within),
        table=Table(
            caption=f"{words.title}, {unit}",
            header=("pairing", "at the sweet spot", "50 %", "90 %"),
            rows=tuple((one.name, *row) for one, row in zip(shown, cells, strict=True)),
        ),
    )


def shot_time_figures(shown: Sequence[Shown]) -> tuple[Figure, ...]:
    """Log time against the grind: its setting where all share a dial, else steps from the setting that runs in 25 s.

    At each sweet spot's dose and temperature. Nothing where no grind can be set.
    """
    turned = [one for one in shown if not one.pairing.grinder.grind.fixed]
    if not turned:
        return ()
    shared = len({(g.name, g.grind, g.finer) for g in (one.pairing.grinder for one in turned)}) == 1
    lines, homes, rows = [], [], []
    for one in turned:
        grinds, points = _shot_times(one, shared)
        home = points[grinds.index(one.advice.sweet_spot.recipe.grind)]
        inside = [point for point in points if _LOW_S <= point[1] <= _HIGH_S]
        lines.append(Line(number=one.number, points=inside, marks=[home] if home in inside else []))
        homes.append((one.letter, one.advice.sweet_spot.recipe.grind, home[1]))
        rows += [
            (one.name, setting("grind", grind), *([] if shared else [plain(place)]), f"{time:.0f}")
            for grind, (place, time) in list(zip(grinds, points, strict=True))[:: -(-len(grinds) // _MOST_ROWS)]
        ]
    alt, steps = captions.shot_times_caption(homes), [] if shared else [f"steps finer than {MARK_S:g} s"]
    up = Axis(title="time, s", ticks=[(float(s), str(s)) for s in _TICKS_S], low=_LOW_S, high=_HIGH_S, log=True)
    return (
        Figure(
            name="shot-times",
            title="Shot time by grind",
            alt=alt,
            key=captions.shot_times_key(shared=shared),
            plot=line_chart(lines, x=_across(turned[0], lines, shared), y=up, alt=alt, rule=MARK_S),
            table=Table(
                caption="Expected shot time over the grind",
                header=("pairing", "grind", *steps, "time, s"),
                rows=tuple(rows),
            ),
        ),
    )


def _shot_times(one: Shown, shared: bool) -> tuple[list[float], list[Point]]:
    """Grinds from the coarse end on, and for each its place along the picture and its time, s."""
    grinder, recipe = one.pairing.grinder, one.advice.sweet_spot.recipe
    grinds = sorted({*grinder.grind.thinned(_MOST_SETTINGS), recipe.grind}, reverse=grinder.finer == "down")
    recipes = [replace(recipe, grind=grind) for grind in grinds]
    if shared:
        places = [_turned(one, grind) for grind in grinds]
    else:
        places = [grinder.finer_steps(grinds[0], grind) - one.mark_steps for grind in grinds]
    return grinds, list(zip(places, one.advice.predict(recipes).time_s.tolist(), strict=True))


def _turned(one: Shown, value: float) -> float:
    """From a setting to its place on a shared dial and back: finer lies to the right."""
    return 0.0 - value if one.pairing.grinder.finer == "down" else value


def _across(one: Shown, lines: Sequence[Line], shared: bool) -> Axis:
    places = [place for line in lines for place, _ in line.points] or [0.0]
    low, high = min(places), max(places)
    least = one.pairing.grinder.grind.step if shared else 1.0
    if high - low < least:
        low, high = low - least, high + least
    written = [(tick, setting("grind", _turned(one, tick) if shared else tick)) for tick in ticks(low, high)]
    return Axis(title=captions.shot_times_title(one.pairing, shared=shared), ticks=written, low=low, high=high)


def learning_figures(shown: Sequence[Shown]) -> tuple[Figure, ...]:
    """The chance of being close to the best, shot by shot; nothing where none was pulled."""
    learned = [(one, _learning(one)) for one in shown if one.looks]
    if not learned:
        return ()
    most = max(points[-1][0] for _, points in learned)
    alt = captions.learning_caption([(one.letter, points[0], points[-1]) for one, points in learned])
    counts = [(tick, fixed(tick, 0)) for tick in ticks(0, most) if tick == round(tick)]
    percents = [(float(tick), str(tick)) for tick in range(0, 101, 20)]
    return (
        Figure(
            name="learning",
            title="How sure, shot by shot",
            alt=alt,
            key=captions.LEARNING_KEY,
            plot=line_chart(
                [Line(number=one.number, points=points, marks=points) for one, points in learned],
                x=Axis(title="shots pulled", ticks=counts, low=0, high=most),
                y=Axis(title="chance of being close, %", ticks=percents, low=0, high=100),
                alt=alt,
            ),
            table=Table(
                caption="Chance of being close",
                header=("pairing", "shots pulled", "chance"),
                rows=tuple(
                    (one.name, fixed(count, 0), f"{chance:.0f} %")
                    for one, points in learned
                    for count, chance in points
                ),
            ),
        ),
    )


def _learning(one: Shown) -> list[Point]:
    before = [(float(look.before), 100.0 * look.prob_near_optimal) for look in one.looks]
    return [*before, (float(one.looks[-1].before + 1), 100.0 * one.advice.sweet_spot.prob_near_optimal)]
