"""Recipes, and how to come from one to another."""

from __future__ import annotations

from dialopt.text.formats import counted, place, setting
from dialopt.trade.grinder_independent import MARK_S
from dialopt.trade.pairing import DIAL_UNITS, Pairing
from dialopt.trade.recipe import Recipe


def recipe_words(recipe: Recipe, pairing: Pairing | None = None) -> str:
    """The recipe in one line, without a ratio that can't be another.

    >>> recipe_words(Recipe(grind=18, dose_g=18.5, temp_c=93, ratio=2.2))
    'grind 18, 18.5 g, 93 °C, 1:2.2'
    """
    said = recipe if pairing is None else pairing.noted(recipe)
    return ", ".join(place(name, value) for name in DIAL_UNITS if (value := getattr(said, name)) is not None)


def turned_words(pairing: Pairing, recipe: Recipe) -> str:
    """The same without the dials that can't be turned."""
    turned = [name for name, dial in pairing.dials.items() if not dial.fixed]
    return ", ".join(place(name, getattr(recipe, name)) for name in turned)


def change_in_words(pairing: Pairing, start: Recipe, end: Recipe) -> str:
    """What to turn, and which way, to come from one recipe to another; empty for the same recipe.

    A dial that can't be turned isn't named.
    """
    parts = []
    steps = pairing.grinder.finer_steps(start.grind, end.grind)
    if steps:
        parts.append(steps_words(steps))
    dose = round(end.dose_g - start.dose_g, 6)
    if dose and not pairing.basket.dose_g.fixed:
        parts.append(f"{abs(dose):g} g {'more' if dose > 0 else 'less'}")
    temp = round(end.temp_c - start.temp_c, 6)
    if temp and not pairing.machine.temp_c.fixed:
        parts.append(f"{abs(temp):g} °C {'hotter' if temp > 0 else 'cooler'}")
    if not pairing.dials["ratio"].fixed and (ratio := pairing.ratio_of(end)) != pairing.ratio_of(start):
        parts.append(f"{setting('ratio', ratio)}, a {'longer' if ratio > pairing.ratio_of(start) else 'shorter'} cup")
    return ", ".join(parts)


def steps_words(steps: float) -> str:
    """Grind steps finer, below 0 coarser.

    >>> steps_words(3), steps_words(-1)
    ('3 steps finer', '1 step coarser')
    """
    return f"{counted(abs(steps), 'step')} {'finer' if steps > 0 else 'coarser'}"


def mark_words(steps: int) -> str:
    """Where a grind lies, by the steps that it is finer than the one which runs nearest to `MARK_S`.

    >>> mark_words(2)
    '2 steps finer than the setting that runs nearest to 25 s'
    """
    return f"{f'{steps_words(steps)} than' if steps else 'at'} the setting that runs nearest to {MARK_S:g} s"


def finer_words(pairing: Pairing) -> str:
    """Which way the grind's numbers run."""
    return f"{'lower' if pairing.grinder.finer == 'down' else 'higher'} is finer"
