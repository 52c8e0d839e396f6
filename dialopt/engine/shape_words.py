"""Where there is no single best setting inside the dials: the sentences that say so."""

from __future__ import annotations

from dialopt.engine.advice import SweetSpot
from dialopt.trade.pairing import DIAL_UNITS, DIAL_WORDS, Pairing
from dialopt.trade.recipe import Recipe


def shape_sentences(pairing: Pairing, spot: SweetSpot) -> list[str]:
    """One for each dial on whose end the best may lie, one for a line of equals, one for each rival place."""
    sentences = [
        f"The best {DIAL_WORDS[name]} may lie at, or beyond, the {_end(pairing, name, getattr(spot.recipe, name))} end "
        f"of the dial ({getattr(spot.recipe, name):g}{DIAL_UNITS[name]})."
        for name in spot.edges
    ]
    if spot.near_optimal_ridge is not None:
        one, other = (_setting(pairing, recipe) for recipe in spot.near_optimal_ridge)
        sentences.append(f"There is no single best setting: from {one} to {other} a whole line does about as well.")
    for rival in spot.modes:
        sentences.append(f"The best may also lie elsewhere, around {_setting(pairing, rival)}.")
    return sentences


def _setting(pairing: Pairing, recipe: Recipe) -> str:
    """The dials that can be turned, e.g. "grind 18, 18.2 g, 93 °C"."""
    turned = [name for name, dial in pairing.dials.items() if not dial.fixed]
    return ", ".join(
        f"{'grind ' if name == 'grind' else ''}{getattr(recipe, name):g}{DIAL_UNITS[name]}" for name in turned
    )


def _end(pairing: Pairing, name: str, value: float) -> str:
    dial = pairing.dials[name]
    low = abs(value - dial.low) <= abs(value - dial.high)
    if name == "grind":
        return "fine" if low == (pairing.grinder.finer == "down") else "coarse"
    return "lower" if low else "upper"
