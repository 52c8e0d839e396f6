"""Liking over two dials, as stepped contours, with where the best setting probably lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dialopt.engine.advice import Advice
from dialopt.logbook.records import Log
from dialopt.report.figures.figure import Figure, Json, Slider, Table
from dialopt.report.figures.plot import dial_axis, drawing, meant, numbers, shot_traces, star_trace
from dialopt.report.lattice import Lattice
from dialopt.text import captions
from dialopt.text.formats import place, plain, setting
from dialopt.trade.pairing import DIAL_WORDS

if TYPE_CHECKING:
    import plotly.graph_objects as go

    from dialopt.report.lattice import Floats

STEPS = 7
"""Shades of the stepped contours; the style has as many."""
WASH_SD = (0.6, 2.0)
"""Standard deviation of the liking, points, at which the washing-out begins and is complete."""
_ABOVE: Json = {"orientation": "h", "x": 0.5, "y": 1.0, "yanchor": "bottom", "ypad": 2, "len": 1.0}
_BAR: Json = {**_ABOVE, "thickness": 12, "outlinewidth": 0, "tickfont": {"size": 12}}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Layer:
    """What is known over two dials at one setting of the third. mean, sd: of the liking; rows go up, columns across."""

    mean: Floats
    sd: Floats

    @property
    def change(self) -> dict[str, Json]:
        """The two contours of it, by the number of their trace."""
        start, full = WASH_SD
        washed = ((self.sd - start) / (full - start)).clip(0, 1)
        return {"0": {"z": numbers(self.mean, 2)}, "1": {"z": numbers(washed, 2)}}


def map_figure(advice: Advice, log: Log, lattice: Lattice, across: str, up: str, *, explain: bool = True) -> Figure:
    """The map over two dials that can both be turned, at the sweet spot's setting of the third.

    explain: whether its key says how to read it; a second map is read like the first.
    """
    third = lattice.third(across, up)
    x, y, places = (list(lattice.settings[name]) for name in (across, up, third))
    layers = [
        _Layer(
            mean=lattice.slice(lattice.score_mean, across, up, number),
            sd=lattice.slice(lattice.score_sd, across, up, number),
        )
        for number in range(len(places))
    ]
    home = lattice.home[third]
    here, spot, chance = layers[home], advice.sweet_spot.recipe, _reached(lattice.chance(across, up))
    shots = [
        (number, shot, float(getattr(pulled, across)), float(getattr(pulled, up)))
        for number, shot in meant(advice.pairing, log)
        for pulled in [advice.pairing.as_pulled(shot)]
    ]
    row, column = divmod(int(here.sd.argmax()), len(x))
    crest = x[int(here.mean[0].argmax())], x[int(here.mean[-1].argmax())]
    return Figure(
        name=f"map-{DIAL_WORDS[across]}-{DIAL_WORDS[up]}",
        title=captions.map_title(across, up),
        alt=captions.map_caption(
            spot,
            third,
            captions.crest_sentence(across, crest, up, (y[0], y[-1])),
            (place(across, x[column]), place(up, y[row])),
            float(here.mean[row, column]),
            float(here.sd[row, column]),
        ),
        key=captions.map_key(third, explain=explain),
        plot=drawing(
            [
                *_ground(x, y, here, *_shades(lattice.score_mean)),
                *(
                    _outline(x, y, chance, level, dash, halo=halo)
                    for level, dash in ((0.5, "solid"), (0.9, "dash"))
                    for halo in (True, False)
                ),
                *shot_traces(shots),
                star_trace(getattr(spot, across), getattr(spot, up)),
            ],
            xaxis=dial_axis(advice.pairing, across, range=_reach(x, [at for _, _, at, _ in shots])),
            yaxis=dial_axis(advice.pairing, up, range=_reach(y, [at for _, _, _, at in shots])),
            height=450,
        ),
        table=Table(
            caption=(
                f"Liking ± its standard deviation, at {DIAL_WORDS[third]} {setting(third, places[home])}; "
                f"down: {DIAL_WORDS[across]}, across: {DIAL_WORDS[up]}"
            ),
            header=(DIAL_WORDS[across], *(setting(up, value) for value in y)),
            rows=tuple(
                (
                    setting(across, value),
                    *(f"{mean:.1f} ± {sd:.1f}" for mean, sd in zip(here.mean[:, at], here.sd[:, at], strict=True)),
                )
                for at, value in enumerate(x)
            ),
        ),
        slider=None
        if len(places) == 1
        else Slider(
            name=DIAL_WORDS[third],
            labels=tuple(setting(third, value) for value in places),
            start=home,
            changes=tuple(layer.change for layer in layers),
        ),
    )


def _shades(score_mean: Floats) -> tuple[float, float]:
    """The lower end of the scale and its step: fine near the best, where choices are made; the rest is one shade."""
    top, bottom = float(score_mean.max()), float(score_mean.min())
    step = 0.25 if top - bottom < 6 * 0.25 else 0.5
    high = -(-top // step) * step
    return max(high - STEPS * step, 0.0), step


def _ground(x: Sequence[float], y: Sequence[float], layer: _Layer, low: float, step: float) -> list[go.Contour]:
    """The stepped liking, and over it what washes it out where little is known."""
    import plotly.graph_objects as go

    borders = [low + number * step for number in range(1, STEPS)]
    filled = {"x": x, "y": y, "autocontour": False, "line": {"width": 0}}
    liking, wash = layer.change.values()
    return [
        go.Contour(
            **liking,
            **filled,
            hovertemplate="%{x}, %{y}: liking %{z:.1f}<extra></extra>",
            colorscale=[[number / (STEPS - 1), f"var(--step-{number})"] for number in range(STEPS)],
            zmin=low,
            zmax=low + STEPS * step,
            contours={"start": borders[0], "end": borders[-1], "size": step, "coloring": "fill"},
            colorbar={**_BAR, "tickvals": borders, "ticktext": [plain(border, 2) for border in borders]},
        ),
        go.Contour(
            **wash,
            **filled,
            hoverinfo="skip",
            colorscale=[[number / 3, f"var(--wash-{number})"] for number in range(4)],
            zmin=0,
            zmax=1,
            contours={"start": 0.25, "end": 0.75, "size": 0.25, "coloring": "fill"},
            showscale=False,
        ),
    ]


def _outline(
    x: Sequence[float], y: Sequence[float], reached: Floats, level: float, dash: str, *, halo: bool
) -> go.Contour:
    """The outline of the smallest set of settings that holds the best with that probability. halo: what lies under it,
    of the opposite lightness."""
    import plotly.graph_objects as go

    color, width = ("var(--halo)", 4.5) if halo else ("var(--outline)", 2.2)
    return go.Contour(
        x=x,
        y=y,
        z=numbers(reached),
        autocontour=False,
        contours={"start": level, "end": level, "size": 1, "coloring": "none"},
        line={"color": color, "width": width, "dash": dash, "smoothing": 0.6},
        hoverinfo="skip",
        showscale=False,
        showlegend=not halo,
        name=f"best setting, {round(level * 100)} %",
    )


def _reached(chance: Floats) -> Floats:
    """For each setting the probability of the smallest set that reaches down to it, so that levels are contours."""
    import numpy as np

    flat = chance.ravel()
    order = np.argsort(-flat, kind="stable")
    reached = np.empty(flat.size)
    reached[order] = np.cumsum(flat[order]) - flat[order] / 2
    # Settings of the same probability are reached together, or a tie would be drawn as a border.
    _, ties = np.unique(flat, return_inverse=True)
    means = np.bincount(ties, reached) / np.bincount(ties)
    return np.asarray(means[ties].reshape(chance.shape))


def _reach(settings: Sequence[float], pulled: Sequence[float]) -> list[float]:
    """The dial, with a little air and with shots that lie a little off it; one far off is likely a typing mistake."""
    low, high = settings[0], settings[-1]
    far, air = (high - low) * 0.15, (high - low) * 0.03
    near = [value for value in pulled if low - far <= value <= high + far]
    return [round(min([low, *near]) - air, 6), round(max([high, *near]) + air, 6)]
