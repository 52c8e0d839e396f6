"""The one sentence that goes with a piece of advice."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.engine.advice import SweetSpot
from dialopt.engine.chokes import chokes
from dialopt.engine.joined import joined
from dialopt.engine.odds import odds
from dialopt.trade.dial import plain_setting
from dialopt.trade.likely_time import FAST_S, SLOW_S
from dialopt.trade.pairing import DIAL_UNITS, DIAL_WORDS, USUAL_RATIO, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


def change_in_words(pairing: Pairing, start: Recipe, end: Recipe) -> str:
    """What to turn, and which way, to come from one recipe to another; empty for the same recipe.

    A dial that can't be turned isn't named.
    """
    parts = []
    steps = pairing.grinder.finer_steps(start.grind, end.grind)
    if steps:
        parts.append(f"{abs(steps)} step{'s' if abs(steps) > 1 else ''} {'finer' if steps > 0 else 'coarser'}")
    dose = round(end.dose_g - start.dose_g, 6)
    if dose and not pairing.basket.dose_g.fixed:
        parts.append(f"{abs(dose):g} g {'more' if dose > 0 else 'less'}")
    temp = round(end.temp_c - start.temp_c, 6)
    if temp and not pairing.machine.temp_c.fixed:
        parts.append(f"{abs(temp):g} °C {'hotter' if temp > 0 else 'cooler'}")
    return ", ".join(parts)


def reason(
    *,
    pairing: Pairing,
    shots: Sequence[Shot],
    next_recipe: Recipe,
    settled: bool,
    spot: SweetSpot,
    hinted: Sequence[str] = (),
    earlier: int = 0,
    rested_days: int = 0,
    shot_time_right: bool = True,
) -> str:
    """Why this recipe next, in one plain sentence that names every dial it moves.

    hinted: what of the bag the start goes by, "suggestion" or "roast". earlier: how many other pairings it goes by.
    rested_days: days from the last dated shot to the day of the advice. shot_time_right: whether the last shot ran
    neither fast nor slow; as long as it didn't, only the grind is moved.
    """
    dialled = [pairing.as_dialled(shot.recipe) for shot in shots]
    tasted = [recipe for shot, recipe in zip(shots, dialled, strict=True) if shot.tasted]
    if settled:
        sentence = (
            f"More test shots won't help much; the chance is {odds(spot.prob_near_optimal)} that no setting is better "
            "by more than half a point"
        )
    elif not tasted and next_recipe == spot.recipe:
        sentence = "Nothing has been tasted yet, so start where the best cup is most likely"
        sources = _sources(pairing, hinted, earlier)
        if sources:
            sentence += f", going by {joined(sources)}"
    elif next_recipe in dialled[-1:] and not shots[-1].tasted:
        sentence = "The last recipe was not tasted as it should be, so pull it once more"
    elif next_recipe in dialled[-1:]:
        best = next_recipe == spot.recipe
        sentence = "The same again: " + (
            "it is the best guess so far, and no other cup is worth more now"
            if best
            else "how far to trust what it showed is what matters most now"
        )
    elif not any(shot.tasted or shot.timed for shot in shots):
        sentence = "The puck choked, so this is a careful step to where the best cup is likelier"
    else:
        sentence = _moves(
            pairing, shots, [pairing.snap(recipe) for recipe in tasted], next_recipe, spot, shot_time_right
        )
    sentence += _caveat(spot)
    if not settled:
        sentence += _may_choke(pairing, shots, next_recipe)
    if tasted and rested_days >= _LONG_DAYS:
        sentence += f"; the beans are {rested_days} days older than at the last shot, which leaves more open"
    return sentence + "."


def _sources(pairing: Pairing, hinted: Sequence[str], earlier: int) -> list[str]:
    """What the start rests on beside what is usual."""
    sources = []
    if "suggestion" in hinted:
        sources.append("the roaster's suggestion")
    if "roast" in hinted:
        sources.append(f"the {pairing.bean.roast} roast")
    if earlier:
        sources.append(f"{earlier} earlier pairing{'s' * (earlier > 1)}")
    return sources


def _caveat(spot: SweetSpot) -> str:
    """What keeps the sweet spot from being the one best setting, if anything does."""
    if spot.edges:
        ends = joined([DIAL_WORDS[name] for name in spot.edges])
        where = "the ends of their dials" if len(spot.edges) > 1 else "the end of the dial"
        return f"; the best {ends} may lie at or beyond {where}"
    if spot.near_optimal_ridge is not None:
        return "; there is no single best setting, as a whole line of them does about as well"
    if spot.modes:
        return "; the best may also lie in quite another place"
    return ""


def _may_choke(pairing: Pairing, shots: Sequence[Shot], recipe: Recipe) -> str:
    """A word where a puck choked hardly finer than this recipe, and with hardly more coffee than it takes."""
    near = [
        choke.recipe
        for choke in chokes(pairing, shots)
        if recipe.dose_g >= choke.bound_g
        and pairing.grinder.finer_steps(recipe.grind, choke.recipe.grind) <= _NEAR_A_CHOKE * pairing.grinder.grind.count
    ]
    if not near:
        return ""
    return f"; a puck choked at {plain_setting(near[-1].grind)} with {near[-1].dose_g:g} g, so this one may, too"


_NEAR_A_CHOKE = 0.1
"""Share of the grind dial's settings within which a puck that choked is worth a word."""
_LONG_DAYS = 5
"""Days without a shot from which on the ageing of the beans is worth a word (common practice: best for some weeks)."""
_NEWS = {
    "grind": ("nothing this fine", "nothing this coarse"),
    "dose_g": ("no dose this large", "no dose this small"),
    "temp_c": ("nothing this hot", "nothing this cool"),
}
"""What is said of a recipe beyond those tasted: finer, larger or hotter, and the other way."""


def _moves(
    pairing: Pairing,
    shots: Sequence[Shot],
    tasted: Sequence[Recipe],
    recipe: Recipe,
    spot: SweetSpot,
    shot_time_right: bool,
) -> str:
    """Every dial that moves from the last shot, with why: the clock, news beyond what was tasted, or the best guess."""
    start = pairing.as_dialled(shots[-1].recipe)
    turns = {
        name: f"{DIAL_WORDS[name]} {_setting(name, getattr(recipe, name))} (was {_number(getattr(start, name))})"
        for name, dial in pairing.dials.items()
        if not dial.fixed and abs(getattr(recipe, name) - getattr(start, name)) > 1e-9
    }
    if not turns:
        return "The setting of the dials that is nearest to the last shot"
    alone = (
        "Only the grind moves until the shot time is right: " if [*turns] == ["grind"] and not shot_time_right else ""
    )
    if shots[-1].fault == "choked" and pairing.grinder.finer_steps(start.grind, recipe.grind) < 0:
        alone = "The last puck choked: "
    sentence = alone + "; ".join(
        f"{turn}, {_why(pairing, shots, tasted, name, start, recipe, spot)}" for name, turn in turns.items()
    )
    return sentence[0].upper() + sentence[1:]


def _setting(name: str, value: float) -> str:
    return f"{_number(value)}{DIAL_UNITS[name]}"


def _number(value: float) -> str:
    return plain_setting(value).replace("-", "−")


def _why(
    pairing: Pairing,
    shots: Sequence[Shot],
    tasted: Sequence[Recipe],
    name: str,
    start: Recipe,
    recipe: Recipe,
    spot: SweetSpot,
) -> str:
    here, best, now = (getattr(one, name) for one in (start, spot.recipe, recipe))
    side = next(
        (side for side, beyond in enumerate(_beyond(pairing, name, tasted or [start], recipe)) if beyond > 0), None
    )
    clock = _by_the_clock(pairing, shots)[side] if name == "grind" and side is not None else ""
    if clock:
        return f"as {clock}"
    if now == best:
        return "to the best guess so far"
    if side is not None and tasted:
        return f"as {_NEWS[name][side]} has been tasted yet, and one such cup teaches most"
    if abs(now - best) < abs(here - best):
        return "towards the best guess so far"
    return "as what that changes is still open"


def _by_the_clock(pairing: Pairing, shots: Sequence[Shot]) -> tuple[str, str]:
    """What the clock says for going finer and for going coarser: that the finest shot ran fast, or the coarsest slow;
    empty where it says nothing.
    """
    stretch = pairing.ratio / USUAL_RATIO
    timed = [(pairing.grinder.finer_steps(0, shot.recipe.grind), shot.time_s or 0.0) for shot in shots if shot.timed]
    (_, finest_s), (_, coarsest_s) = max(timed, default=(0, stretch * FAST_S)), min(timed, default=(0, 0.0))
    return (
        f"the finest so far ran fast, {finest_s:g} s" if finest_s < FAST_S * stretch else "",
        f"the coarsest so far ran slow, {coarsest_s:g} s" if coarsest_s > SLOW_S * stretch else "",
    )


def _beyond(pairing: Pairing, name: str, tasted: Sequence[Recipe], recipe: Recipe) -> tuple[float, float]:
    """How far a recipe on the dials lies above the tasted ones and below them, shares of the dial; 0 or less within.

    Above is finer for the grind.
    """
    dial = pairing.dials[name]
    turn = -1 if name == "grind" and pairing.grinder.finer == "down" else 1
    here = turn * dial.index(getattr(recipe, name))
    there = [turn * dial.index(getattr(other, name)) for other in tasted]
    travel = max(dial.count - 1, 1)
    return (here - max(there)) / travel, (min(there) - here) / travel
