"""The one sentence that goes with a piece of advice."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.decisions.odds import odds
from dialopt.trade.pairing import DIAL_WORDS, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


def change_in_words(pairing: Pairing, start: Recipe, end: Recipe) -> str:
    """What to turn, and which way, to come from one recipe to another; empty for the same recipe."""
    parts = []
    steps = pairing.grinder.finer_steps(start.grind, end.grind)
    if steps:
        parts.append(f"{abs(steps)} step{'s' if abs(steps) > 1 else ''} {'finer' if steps > 0 else 'coarser'}")
    dose = round(end.dose_g - start.dose_g, 6)
    if dose:
        parts.append(f"{abs(dose):g} g {'more' if dose > 0 else 'less'}")
    temp = round(end.temp_c - start.temp_c, 6)
    if temp:
        parts.append(f"{abs(temp):g} °C {'hotter' if temp > 0 else 'cooler'}")
    return ", ".join(parts)


def reason(
    *,
    pairing: Pairing,
    shots: Sequence[Shot],
    next_recipe: Recipe,
    sweet_recipe: Recipe,
    settled: bool,
    chance_close: float,
    edges: Sequence[str],
) -> str:
    """Why this recipe next, in one plain sentence."""
    if settled:
        sentence = (
            f"Testing more hardly pays: the chance is {odds(chance_close)} that no setting is better by more than "
            "half a point"
        )
    elif not any(shot.tasted for shot in shots):
        sentence = "Nothing has been tasted yet, so start where the best cup is most likely"
    elif next_recipe == sweet_recipe:
        sentence = "The best guess so far is also the cup that teaches most"
    elif any(shot.tasted and pairing.snap(shot.recipe) == next_recipe for shot in shots):
        sentence = "Pull this one again: how far to trust what it showed is what matters most now"
    elif not (change := change_in_words(pairing, pairing.snap(shots[-1].recipe), next_recipe)):
        sentence = "The last recipe was not tasted as it should be, so pull it once more"
    else:
        sentence = f"{change[0].upper()}{change[1:]} than the last shot teaches most for what it costs"
    if edges:
        ends = " and ".join(DIAL_WORDS[name] for name in edges)
        sentence += f"; the best {ends} may lie at or beyond the end of the dial"
    return sentence + "."
