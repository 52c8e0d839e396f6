"""The shot clocks of several pairings in one picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dialopt.report.figures.line_chart import Axis, Line, line_chart
from dialopt.report.figures.picture import Picture
from dialopt.report.figures.svg import Point, ticks
from dialopt.report.sides import Shown
from dialopt.report.tables import Table
from dialopt.text.captions import clocks_key
from dialopt.text.formats import place, plain, setting
from dialopt.text.recipes import finer_words
from dialopt.trade.grinder_independent import MARK_S
from dialopt.trade.recipe import Recipe

_LOW_S, _HIGH_S = 8.0, 90.0
_TICKS_S = (8, 10, 15, 20, 25, 30, 40, 60, 90)
_MOST_SETTINGS, _MOST_ROWS = 60, 12


@dataclass(frozen=True, slots=True, kw_only=True)
class _Clock:
    """A clock from the coarse end on, at the sweet spot's dose and temperature. points: place along the picture, s."""

    one: Shown
    grinds: tuple[float, ...]
    points: tuple[Point, ...]

    @property
    def home(self) -> Point:
        """The sweet spot's."""
        return self.points[self.grinds.index(self.one.advice.sweet_spot.recipe.grind)]


def clock_pictures(shown: Sequence[Shown]) -> tuple[Picture, ...]:
    """Log time against the grind: its setting where all share a dial, else steps from the setting that runs in 25 s.

    Nothing where no grind can be set.
    """
    turned = [one for one in shown if not one.pairing.grinder.grind.fixed]
    if not turned:
        return ()
    shared = len({(g.name, g.grind, g.finer) for g in (one.pairing.grinder for one in turned)}) == 1
    clocks = [_clock(one, shared) for one in turned]
    said = [
        f"{clock.one.letter} {clock.home[1]:.0f} s at {place('grind', clock.one.advice.sweet_spot.recipe.grind)}"
        for clock in clocks
    ]
    alt = f"Expected shot time over the grind, with the sweet spots marked: {'; '.join(said)}."
    return (
        Picture(
            name="clocks",
            title="Shot clocks",
            alt=alt,
            key=clocks_key(shared=shared),
            drawing=line_chart(
                [_line(clock) for clock in clocks],
                x=_across(clocks, shared),
                y=Axis(
                    title="time, s",
                    ticks=[(float(tick), str(tick)) for tick in _TICKS_S],
                    low=_LOW_S,
                    high=_HIGH_S,
                    log=True,
                ),
                alt=alt,
                rule=MARK_S,
            ),
            table=Table(
                caption="Expected shot time over the grind",
                header=("pairing", "grind", "time, s")
                if shared
                else ("pairing", "grind", f"steps finer than {MARK_S:g} s", "time, s"),
                rows=tuple(row for clock in clocks for row in _rows(clock, shared)),
            ),
        ),
    )


def _clock(one: Shown, shared: bool) -> _Clock:
    grinder, recipe = one.pairing.grinder, one.advice.sweet_spot.recipe
    grinds = sorted({*grinder.grind.thinned(_MOST_SETTINGS), recipe.grind}, reverse=grinder.finer == "down")
    recipes = [Recipe(grind=grind, dose_g=recipe.dose_g, temp_c=recipe.temp_c) for grind in grinds]
    if shared:
        places = [_turned(one, grind) for grind in grinds]
    else:
        places = [grinder.finer_steps(grinds[0], grind) - one.mark_steps for grind in grinds]
    times = one.advice.predict(recipes).time_s.tolist()
    return _Clock(one=one, grinds=tuple(grinds), points=tuple(zip(places, times, strict=True)))


def _turned(one: Shown, value: float) -> float:
    """From a setting to its place on a shared dial and back: finer lies to the right."""
    return 0.0 - value if one.pairing.grinder.finer == "down" else value


def _line(clock: _Clock) -> Line:
    inside = [point for point in clock.points if _LOW_S <= point[1] <= _HIGH_S]
    return Line(number=clock.one.number, points=inside, marks=[point for point in [clock.home] if point in inside])


def _across(clocks: Sequence[_Clock], shared: bool) -> Axis:
    places = [place for clock in clocks for place, _ in _line(clock).points] or [0.0]
    low, high = min(places), max(places)
    one = clocks[0].one
    least = one.pairing.grinder.grind.step if shared else 1.0
    if high - low < least:
        low, high = low - least, high + least
    if shared:
        title = f"grind setting, finer to the right ({finer_words(one.pairing)})"
    else:
        title = f"steps finer than the setting that runs in {MARK_S:g} s"
    written = [(tick, setting("grind", _turned(one, tick) if shared else tick)) for tick in ticks(low, high)]
    return Axis(title=title, ticks=written, low=low, high=high)


def _rows(clock: _Clock, shared: bool) -> list[tuple[str, ...]]:
    every = -(-len(clock.grinds) // _MOST_ROWS)
    return [
        (clock.one.name, setting("grind", grind), *([] if shared else [plain(place)]), f"{time:.0f}")
        for grind, (place, time) in list(zip(clock.grinds, clock.points, strict=True))[::every]
    ]
