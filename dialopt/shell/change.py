"""From where the bench stands to the next recipe: what to turn, what to purge, what to wait for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from dialopt.logbook.records import LastPull
from dialopt.text.recipes import change_in_words
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """From `start`, the last shot's recipe as far as it says where the dials stand, to `end`.

    last: the shot that went through the grinder last. other_bean: the bean it was of, None for this pairing's own.
    water_of: the bean of the shot that the machine brewed last, where that is another one; `start` has its temperature.
    """

    pairing: Pairing
    last: LastPull
    start: Recipe
    end: Recipe
    other_bean: str | None
    water_of: str | None = None

    @property
    def purge_g(self) -> float:
        """Coffee to throw away first, g."""
        return self.pairing.grinder.purged_g(self.start.grind, self.end.grind, same_bean=self.other_bean is None)


def change_to(pairing: Pairing, recipe: Recipe, last: LastPull | None) -> Change | None:
    """The way to a recipe; None where nothing went through these burrs yet, or what was noted last lies far off the
    dials, a slip of the pen. The water stands where the machine's last shot left it, whatever that was ground with; of
    another machine or basket the last shot's temperature or dose says nothing.
    """
    if last is None or not last.pairing.may_be_meant(last.shot.recipe):
        return None
    start, recipe = last.pairing.at_ratio(last.shot.recipe), pairing.at_ratio(recipe)
    if not same_name(last.pairing.basket.name, pairing.basket.name):
        start = replace(start, dose_g=recipe.dose_g)
    water_of = None
    if last.water is not None:
        brewed, shot = last.water
        water_of = brewed.bean.name
        start = replace(start, temp_c=shot.recipe.temp_c if brewed.may_be_meant(shot.recipe) else recipe.temp_c)
    elif not same_name(last.pairing.machine.name, pairing.machine.name):
        start = replace(start, temp_c=recipe.temp_c)
    before = last.pairing.bean.name
    other = None if same_name(before, pairing.bean.name) else before
    return Change(pairing=pairing, last=last, start=start, end=recipe, other_bean=other, water_of=water_of)


def change_lines(change: Change | None) -> list[str]:
    """What to do about it, a line each; nothing where nobody knows how the bench stands."""
    if change is None:
        return []
    turned, warmer = change.start, change.end.temp_c - change.start.temp_c
    if change.water_of is not None:
        turned = replace(turned, temp_c=change.end.temp_c)
    words = change_in_words(change.pairing, turned, change.end)
    which = f"the last shot, which was of {change.other_bean}" if change.other_bean else "the last shot"
    lines = [f"  Change   {words} than {which}" if words else f"  Change   nothing, the same as {which}"]
    if change.purge_g:
        why = [] if change.start.grind == change.end.grind else ["the grind moves"]
        why += [f"{change.other_bean} is still in the grinder"] if change.other_bean else []
        lines.append(f"  Purge    {change.purge_g:g} g of coffee, as {' and '.join(why)}")
    if warmer and not change.pairing.machine.temp_c.fixed:
        if change.water_of is not None:
            way = "hotter" if warmer > 0 else "cooler"
            lines.append(f"  Water    {abs(warmer):.3g} °C {way} than the machine's last shot, of {change.water_of}")
        lines.append("  Wait     until the water has settled at its new temperature")
    return lines


def change_data(change: Change | None) -> dict[str, Any] | None:
    """The same for a program."""
    if change is None:
        return None
    start, end, dials = change.start, change.end, change.pairing.dials
    return {
        "from_pairing": change.last.pairing_id,
        "grind_steps_finer": change.pairing.grinder.finer_steps(start.grind, end.grind),
        **{it: round(getattr(end, it) - getattr(start, it), 6) for it in dials if it != "grind"},
        "purge_g": change.purge_g,
    }
