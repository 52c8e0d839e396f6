"""The recipe card: what to set at the sweet spot, and within which ranges the best setting lies."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.engine.advice import Advice
from dialopt.report.lattice import Lattice
from dialopt.text.formats import plain, score_span, setting, settings_span, span


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLine:
    """One line of the card. hint: the range, in words."""

    name: str
    value: str
    unit: str
    hint: str


def card_lines(advice: Advice, lattice: Lattice) -> tuple[CardLine, ...]:
    """Grind, dose, temperature, cup, time and score at the sweet spot."""
    pairing, spot = advice.pairing, advice.sweet_spot
    recipe = spot.recipe
    time_s = advice.predict_outcome(recipe, 0.9).time_s
    return (
        CardLine(name="Grind", value=setting("grind", recipe.grind), unit="", hint=_where(advice, lattice, "grind")),
        CardLine(name="Dose", value=plain(recipe.dose_g, 2), unit="g", hint=_where(advice, lattice, "dose_g")),
        CardLine(name="Brew water", value=plain(recipe.temp_c, 2), unit="°C", hint=_where(advice, lattice, "temp_c")),
        CardLine(
            name="Stop at",
            value=plain(pairing.yield_g(recipe)),
            unit="g",
            hint=f"{plain(pairing.ratio, 2)} times the dose",
        ),
        CardLine(
            name="Time",
            value=plain(time_s.mean, 0),
            unit="s",
            hint=f"one shot {span(time_s.low, time_s.high, digits=0)}",
        ),
        CardLine(
            name="Liking",
            value=plain(spot.score.mean),
            unit="of 10",
            hint=f"within {score_span(spot.score)}",
        ),
    )


def _where(advice: Advice, lattice: Lattice, name: str) -> str:
    dial = advice.pairing.dials[name]
    if dial.fixed:
        return "can't be changed"
    low, high = lattice.whereabouts[name]
    if low == high:
        return "hardly any doubt"
    if (low, high) == (dial.low, dial.high):
        return "the best may be anywhere"
    return f"best within {settings_span(name, low, high)}"
