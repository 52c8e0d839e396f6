"""How sure each pairing's sweet spot was after each shot, in one picture."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.report.figures.line_chart import Axis, Line, line_chart
from dialopt.report.figures.picture import Picture
from dialopt.report.figures.svg import Point, ticks
from dialopt.report.sides import Shown
from dialopt.report.tables import Table
from dialopt.text.captions import LEARNING_KEY
from dialopt.text.formats import plain


def learning_pictures(shown: Sequence[Shown]) -> tuple[Picture, ...]:
    """The chance of being close to the best, shot by shot; nothing where none was pulled."""
    pulled = [one for one in shown if one.looks]
    if not pulled:
        return ()
    points = [_points(one) for one in pulled]
    most = max(last for *_, (last, _) in points)
    said = [
        f"{one.letter} from {of[0][1]:.0f} % after {of[0][0]:.0f} to {of[-1][1]:.0f} % after {of[-1][0]:.0f}"
        for one, of in zip(pulled, points, strict=True)
    ]
    alt = f"Chance that the sweet spot is within half a point of the best, by shots: {'; '.join(said)}."
    return (
        Picture(
            name="learning",
            title="How sure, shot by shot",
            alt=alt,
            key=LEARNING_KEY,
            drawing=line_chart(
                [Line(number=one.number, points=of, marks=of) for one, of in zip(pulled, points, strict=True)],
                x=Axis(
                    title="shots pulled",
                    ticks=[(tick, plain(tick, 0)) for tick in ticks(0, most) if tick == round(tick)],
                    low=0,
                    high=most,
                ),
                y=Axis(
                    title="chance of being close, %",
                    ticks=[(float(tick), str(tick)) for tick in range(0, 101, 20)],
                    low=0,
                    high=100,
                ),
                alt=alt,
            ),
            table=Table(
                caption="Chance of being close",
                header=("pairing", "shots pulled", "chance"),
                rows=tuple(
                    (one.name, plain(count, 0), f"{chance:.0f} %")
                    for one, of in zip(pulled, points, strict=True)
                    for count, chance in of
                ),
            ),
        ),
    )


def _points(one: Shown) -> list[Point]:
    before = [(float(look.before), 100.0 * look.prob_near_optimal) for look in one.looks]
    return [*before, (float(one.looks[-1].before + 1), 100.0 * one.advice.sweet_spot.prob_near_optimal)]
