"""Liking over two dials, as stepped contours, with where the best setting probably lies."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dialopt.engine.advice import Advice
from dialopt.logbook.records import Log
from dialopt.report.figures.figure import Figure, Json, Slider, dial_axis, drawing, numbers
from dialopt.report.figures.marks import meant, shot_traces, star_trace
from dialopt.report.lattice import Lattice, third_dial
from dialopt.report.tables import Table
from dialopt.text.captions import MAP_KEY, crest_sentence
from dialopt.text.formats import place, plain, setting
from dialopt.trade.pairing import DIAL_WORDS

if TYPE_CHECKING:
    from dialopt.report.lattice import Floats

STEPS = 7
"""Shades of the stepped contours; the style has as many."""
WASH_SD = (0.6, 2.0)
"""Standard deviation of the liking, points, at which the washing-out begins and is complete."""
_LIKING, _WASH = "0", "1"


def map_figure(advice: Advice, log: Log, lattice: Lattice, across: str, up: str, *, explain: bool = True) -> Figure:
    """The map over two dials that can both be turned, at the sweet spot's setting of the third.

    explain: whether its key says how to read it; a second map is read like the first.
    """
    import plotly.graph_objects as go

    third = third_dial(across, up)
    home = lattice.home[third]
    x, y = list(lattice.settings[across]), list(lattice.settings[up])
    low, step = _shades(lattice.score_mean)
    chance = lattice.chance(across, up)
    spot, pulled = advice.sweet_spot.recipe, meant(advice.pairing, log)
    traces = [
        go.Contour(
            x=x,
            y=y,
            **_liking(lattice, across, up, home),
            hovertemplate="%{x}, %{y}: liking %{z:.1f}<extra></extra>",
            colorscale=[[number / (STEPS - 1), f"var(--step-{number})"] for number in range(STEPS)],
            zmin=low,
            zmax=low + STEPS * step,
            autocontour=False,
            contours={"start": low + step, "end": low + (STEPS - 1) * step, "size": step, "coloring": "fill"},
            line={"width": 0},
            colorbar=_colorbar(low, step),
        ),
        go.Contour(
            x=x,
            y=y,
            **_wash(lattice, across, up, home),
            hoverinfo="skip",
            colorscale=[[number / 3, f"var(--wash-{number})"] for number in range(4)],
            zmin=0,
            zmax=1,
            autocontour=False,
            contours={"start": 0.25, "end": 0.75, "size": 0.25, "coloring": "fill"},
            line={"width": 0},
            showscale=False,
        ),
        *_region(x, y, chance, 0.5, "solid"),
        *_region(x, y, chance, 0.9, "dash"),
        *shot_traces(
            [(number, shot, getattr(shot.recipe, across), getattr(shot.recipe, up)) for number, shot in pulled]
        ),
        star_trace(getattr(spot, across), getattr(spot, up)),
    ]
    dials = advice.pairing.dials
    fixed = dials[third].fixed
    return Figure(
        name=f"map-{DIAL_WORDS[across]}-{DIAL_WORDS[up]}",
        title=f"Liking, of 10, over {DIAL_WORDS[across]} and {DIAL_WORDS[up]}",
        alt=_alt(advice, lattice, across, up),
        key=(MAP_KEY if explain else "") + f"Lines and shots are shown whatever the {DIAL_WORDS[third]}.",
        plot=drawing(
            traces,
            xaxis=dial_axis(
                advice.pairing, across, range=_reach(x, [getattr(shot.recipe, across) for _, shot in pulled])
            ),
            yaxis=dial_axis(advice.pairing, up, range=_reach(y, [getattr(shot.recipe, up) for _, shot in pulled])),
            height=450,
        ),
        table=_table(lattice, across, up, home),
        slider=None if fixed else _slider(lattice, across, up, third),
    )


def _liking(lattice: Lattice, across: str, up: str, third: int) -> Json:
    return {"z": numbers(lattice.slice(lattice.score_mean, across, up, third), 2)}


def _wash(lattice: Lattice, across: str, up: str, third: int) -> Json:
    start, full = WASH_SD
    share = (lattice.slice(lattice.score_sd, across, up, third) - start) / (full - start)
    return {"z": numbers(share.clip(0, 1), 2)}


def _shades(score_mean: Floats) -> tuple[float, float]:
    """The lower end of the scale and its step: fine near the best, where choices are made; the rest is one shade."""
    top, bottom = float(score_mean.max()), float(score_mean.min())
    step = 0.25 if top - bottom < 6 * 0.25 else 0.5
    high = -(-top // step) * step
    return max(high - STEPS * step, 0.0), step


def _colorbar(low: float, step: float) -> Json:
    borders = [low + number * step for number in range(1, STEPS)]
    return {
        "orientation": "h",
        "x": 0.5,
        "y": 1.0,
        "yanchor": "bottom",
        "ypad": 2,
        "tickvals": borders,
        "ticktext": [plain(border, 2) for border in borders],
        "thickness": 12,
        "len": 1.0,
        "outlinewidth": 0,
        "tickfont": {"size": 12},
    }


def _region(x: list[float], y: list[float], chance: Floats, level: float, dash: str) -> list[Any]:
    """The outline of the smallest set of settings that holds the best with that probability: dark under light."""
    import plotly.graph_objects as go

    height = _ranked(chance)
    lines = []
    for color, width, shown in (("var(--halo)", 4.5, False), ("var(--outline)", 2.2, True)):
        lines.append(
            go.Contour(
                x=x,
                y=y,
                z=numbers(height),
                autocontour=False,
                contours={"start": level, "end": level, "size": 1, "coloring": "none"},
                line={"color": color, "width": width, "dash": dash, "smoothing": 0.6},
                hoverinfo="skip",
                showscale=False,
                showlegend=shown,
                name=f"best setting, {round(level * 100)} %",
            )
        )
    return lines


def _ranked(chance: Floats) -> Floats:
    """For each setting the probability of the smallest set that reaches down to it, so that levels are contours."""
    import numpy as np

    flat = chance.ravel()
    order = np.argsort(-flat, kind="stable")
    reached = np.empty(flat.size)
    reached[order] = np.cumsum(flat[order]) - flat[order] / 2
    # Settings of the same probability are reached together, or a tie would be drawn as a border.
    for value in np.unique(flat):
        same = flat == value
        reached[same] = reached[same].mean()
    return reached.reshape(chance.shape)


def _slider(lattice: Lattice, across: str, up: str, third: str) -> Slider:
    places = lattice.settings[third]
    return Slider(
        name=DIAL_WORDS[third],
        labels=tuple(setting(third, value) for value in places),
        start=lattice.home[third],
        changes=tuple(
            {_LIKING: _liking(lattice, across, up, number), _WASH: _wash(lattice, across, up, number)}
            for number in range(len(places))
        ),
    )


def _reach(settings: list[float], pulled: list[float]) -> list[float]:
    """The dial, with a little air and with shots that lie a little off it; one far off is more likely a slip."""
    low, high = settings[0], settings[-1]
    far, air = (high - low) * 0.15, (high - low) * 0.03
    near = [value for value in pulled if low - far <= value <= high + far]
    return [round(min([low, *near]) - air, 6), round(max([high, *near]) + air, 6)]


def _alt(advice: Advice, lattice: Lattice, across: str, up: str) -> str:
    spot, third = advice.sweet_spot.recipe, third_dial(across, up)
    mean = lattice.slice(lattice.score_mean, across, up, lattice.home[third])
    sd = lattice.slice(lattice.score_sd, across, up, lattice.home[third])
    x, y = lattice.settings[across], lattice.settings[up]
    crest = x[int(mean[0].argmax())], x[int(mean[-1].argmax())]
    row, column = divmod(int(sd.argmax()), len(x))
    crest_words = crest_sentence(across, crest, up, (y[0], y[-1]))
    return (
        f"At {place(third, getattr(spot, third))}, {crest_words} Least is known at "
        f"{place(across, x[column])} and {place(up, y[row])}: {mean[row, column]:.1f}, give or take "
        f"{sd[row, column]:.1f}."
    )


def _table(lattice: Lattice, across: str, up: str, third: int) -> Table:
    name = third_dial(across, up)
    mean = lattice.slice(lattice.score_mean, across, up, third)
    sd = lattice.slice(lattice.score_sd, across, up, third)
    return Table(
        caption=(
            f"Liking ± its standard deviation, at {DIAL_WORDS[name]} {setting(name, lattice.settings[name][third])}; "
            f"down: {DIAL_WORDS[across]}, across: {DIAL_WORDS[up]}"
        ),
        header=(DIAL_WORDS[across], *(setting(up, value) for value in lattice.settings[up])),
        rows=tuple(
            (
                setting(across, value),
                *(f"{mean[row, column]:.1f} ± {sd[row, column]:.1f}" for row in range(len(lattice.settings[up]))),
            )
            for column, value in enumerate(lattice.settings[across])
        ),
    )
