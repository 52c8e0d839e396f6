"""The dials, thinned for drawing, with what is known at every crossing."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from dialopt.engine.advice import Advice
from dialopt.trade.dial import Dial
from dialopt.trade.recipe import Recipe

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_MOST = {"grind": 37, "dose_g": 9, "temp_c": 9, "ratio": 9}


@dataclass(frozen=True, slots=True, kw_only=True)
class Lattice:
    """axes: the dials that the maps show: grind, dose and temperature, or the ratio in the place of the dose where it
    may vary, as it tells more. settings: of each dial, ascending, the sweet spot's among them. home: the sweet spot's
    place on each. whereabouts: the shortest range of each dial that holds the sweet spot's setting and, 9 times in 10,
    the best one.

    score_mean, score_sd, time_s, best: arrays of shape (settings of each axis); best is the probability that the
    best setting lies there, adding to 1.
    """

    axes: tuple[str, str, str]
    settings: Mapping[str, tuple[float, ...]]
    home: Mapping[str, int]
    whereabouts: Mapping[str, tuple[float, float]]
    score_mean: Floats
    score_sd: Floats
    time_s: Floats
    best: Floats

    def slice(self, values: Floats, across: str, up: str, third: int) -> Floats:
        """The values over two dials at one setting of the third: rows go up, columns across."""
        import numpy as np

        flat = np.moveaxis(values, self.axes.index(self.third(across, up)), 0)[third]
        return self._turned(flat, across, up)

    def chance(self, across: str, up: str) -> Floats:
        """Probability of the best setting over two dials, whatever the third, smoothed; rows go up, columns across."""
        flat = self.best.sum(axis=self.axes.index(self.third(across, up)))
        return self._turned(_smoothed(_smoothed(flat)), across, up)

    def third(self, across: str, up: str) -> str:
        """The axis beside two others."""
        return next(name for name in self.axes if name not in (across, up))

    def _turned(self, flat: Floats, across: str, up: str) -> Floats:
        return flat.T if self.axes.index(across) < self.axes.index(up) else flat


def lay_out(advice: Advice) -> Lattice:
    """Asks the advice for everything that the pictures need, once."""
    spot, dials = advice.sweet_spot.recipe, advice.pairing.dials
    axes = ("grind", "dose_g" if dials["ratio"].fixed else "ratio", "temp_c")
    settings = {name: _thinned(dial, _MOST[name], getattr(spot, name)) for name, dial in dials.items()}
    shape = tuple(len(settings[name]) for name in axes)
    crossings = itertools.product(*(settings[name] for name in axes))
    recipes = [replace(spot, **dict(zip(axes, crossing, strict=True))) for crossing in crossings]
    known, draws = advice.predict(recipes), advice.sweet_spot.predictive.best()
    return Lattice(
        axes=axes,
        settings=settings,
        home={name: settings[name].index(dials[name].snap(getattr(spot, name))) for name in axes},
        score_mean=known.score_mean.reshape(shape),
        score_sd=known.score_sd.reshape(shape),
        time_s=known.time_s.reshape(shape),
        whereabouts={
            name: _whereabouts(dial, [getattr(draw, name) for draw in draws], getattr(spot, name))
            for name, dial in dials.items()
        },
        best=_where_best(draws, axes, dials, settings),
    )


def _thinned(dial: Dial, most: int, keep: float) -> tuple[float, ...]:
    return tuple(sorted({*dial.thinned(most), dial.snap(keep)}))


def _whereabouts(dial: Dial, drawn: Sequence[float], home: float) -> tuple[float, float]:
    """The shortest range of all the dial's settings that holds `home` and nine of ten of those drawn."""
    import numpy as np

    places, here = np.sort([dial.index(setting) for setting in drawn]), dial.index(home)
    needed = math.ceil(0.9 * len(places) - 1e-9)
    ranges = []
    for start in {*np.minimum(places, here).tolist(), here}:
        below = int(np.searchsorted(places, start))
        if below + needed <= len(places):
            end = max(int(places[below + needed - 1]), here)
            held = int(np.searchsorted(places, end, side="right")) - below
            ranges.append((end - start, -held, start, end))
    *_, start, end = min(ranges)
    return dial.setting(start), dial.setting(end)


def _where_best(
    draws: Sequence[Recipe], axes: Sequence[str], dials: Mapping[str, Dial], settings: Mapping[str, tuple[float, ...]]
) -> Floats:
    """Share of the draws at each crossing, each counted at the crossing nearest to it."""
    import numpy as np

    share = np.zeros(tuple(len(settings[name]) for name in axes))
    places = []
    for name in axes:
        shown = np.array(settings[name])
        drawn = np.array([dials[name].snap(getattr(recipe, name)) for recipe in draws])
        places.append(np.argmin(np.abs(drawn[:, None] - shown), axis=1))
    np.add.at(share, tuple(places), 1.0 / len(draws))
    return share


def _smoothed(values: Floats) -> Floats:
    """The values spread a little along both axes, so that outlines don't trace single draws; the sum stays."""
    import numpy as np

    def spread(row: Floats) -> Floats:
        return np.convolve(np.pad(row, 1, mode="edge"), (0.25, 0.5, 0.25), mode="valid")

    for axis in (0, 1):
        if values.shape[axis] > 2:
            values = np.apply_along_axis(spread, axis, values)
    return values
