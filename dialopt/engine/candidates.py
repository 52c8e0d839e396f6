"""The recipes that a decision looks at: the dials, thinned where they are finer than a tongue."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from dialopt.model.observations import Floats, Inputs, inputs, inputs_from_array
from dialopt.trade.fields import RECIPE_COLUMNS
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe

_MOST = {"grind": 36, "dose_g": 5, "temp_c": 9, "ratio": 7}
_MOST_OF_FOUR = {"grind": 24, "dose_g": 3, "temp_c": 5, "ratio": 6}
"""Settings at most of each dial, and where all four turn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidates:
    """C recipes on the dials. at: their coordinates. sides: settings looked at on each dial, whose product is C.
    spacing: one of them to the next in the unit cube, (4,).
    """

    at: Inputs
    sides: tuple[int, ...]
    spacing: Floats

    @property
    def raw(self) -> Floats:
        """Rows of grind, dose_g, temp_c, ratio, (C, 4)."""
        return self.at.raw

    def recipe(self, number: int) -> Recipe:
        """The recipe of that row."""
        return recipe_from_row(self.raw[number])

    def row(self, pairing: Pairing, recipe: Recipe) -> int:
        """The row nearest to a recipe, by shares of the dials."""
        at = inputs(pairing, [recipe])
        return int(np.argmin(np.sum((self.at.cube - at.cube) ** 2, axis=1)))


def recipe_from_row(row: Floats) -> Recipe:
    """A recipe from grind, dose_g, temp_c, ratio."""
    return Recipe(**dict(zip(RECIPE_COLUMNS, map(float, row), strict=True)))


def _most(pairing: Pairing) -> dict[str, int]:
    return _MOST if any(dial.fixed for dial in pairing.dials.values()) else _MOST_OF_FOUR


def candidates(pairing: Pairing, hold: Mapping[str, float]) -> Candidates:
    """A thinned lattice of the dials, ends always included. hold: dials at one setting."""
    most = _most(pairing)
    sides = [[hold[name]] if name in hold else list(dial.thinned(most[name])) for name, dial in pairing.dials.items()]
    return _lattice(pairing, sides)


def neighbourhood(
    pairing: Pairing, recipe: Recipe, hold: Mapping[str, float], stands: Recipe | None = None
) -> Candidates:
    """Every setting between a recipe and the lattice settings around it, at most 11 a dial, 6 where all four
    turn, and those of `stands` that lie there."""
    most, sides = _most(pairing), []
    span = 11 if most is _MOST else 6
    for name, dial in pairing.dials.items():
        if name in hold:
            sides.append([hold[name]])
            continue
        reach = max(1, -(-(dial.count - 1) // max(most[name] - 1, 1)))
        here = dial.index(getattr(recipe, name))
        first, last = max(here - reach, 0), min(here + reach, dial.count - 1)
        numbers = np.unique(np.linspace(first, last, min(last - first + 1, span)).round().astype(int))
        also = [here] if stands is None else [here, min(max(dial.index(getattr(stands, name)), first), last)]
        sides.append([dial.setting(int(number)) for number in np.unique([*numbers, *also])])
    return _lattice(pairing, sides)


def on_the_dials(pairing: Pairing, rows: Floats, hold: Mapping[str, float], rng: np.random.Generator) -> Floats:
    """Rows of the lattice, (P, 4), each moved at random to one of the settings that it stands for: those nearest to it.

    Where a dial is finer than the lattice, where a draw is best is known no finer than that.
    """
    moved, most = rows.copy(), _most(pairing)
    for column, (name, dial) in enumerate(pairing.dials.items()):
        if name in hold:
            continue
        looked_at = dial.thinned(most[name])
        numbers = np.array([dial.index(setting) for setting in looked_at])
        ends = np.array([*((numbers[:-1] + numbers[1:]) // 2 + 1), dial.count])
        here = np.argmin(np.abs(rows[:, column, None] - np.array(looked_at)), axis=1)
        first = np.concatenate([[0], ends[:-1]])[here]
        chosen, places = np.unique(
            first + (rng.random(len(rows)) * (ends[here] - first)).astype(int), return_inverse=True
        )
        moved[:, column] = np.array([dial.setting(int(number)) for number in chosen])[places]
    return moved


def _lattice(pairing: Pairing, sides: list[list[float]]) -> Candidates:
    raw = np.stack(np.meshgrid(*sides, indexing="ij"), axis=-1).reshape(-1, len(sides))
    spacing = np.array([1.0 / max(len(side) - 1, 1) for side in sides])
    return Candidates(at=inputs_from_array(pairing, raw), sides=tuple(map(len, sides)), spacing=spacing)
