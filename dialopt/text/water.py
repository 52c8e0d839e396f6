"""What brew water outside the published ranges does to the cup and to the machine (common practice)."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.text.formats import plain
from dialopt.trade.brew_water import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """taste: to the cup. machine: scale or corrosion; empty for none."""

    taste: str
    machine: str = ""


EFFECTS_SOURCE = "what it does to taste and machine is common practice"
_EFFECTS = {
    ("hardness_ppm", "low"): Effect(
        taste="thin and flat, little is drawn from the coffee",
        machine="no scale, but very soft water eats at metal, and some boilers' level probes don't see it",
    ),
    ("hardness_ppm", "high"): Effect(
        taste="heavy, dull, chalky", machine="scale in boiler and pipes: soften it, or descale often"
    ),
    ("calcium_ppm", "low"): Effect(taste="thin, with little body"),
    ("calcium_ppm", "high"): Effect(taste="heavy, chalky", machine="scale, the more the higher the alkalinity is"),
    ("alkalinity_ppm", "low"): Effect(
        taste="sharp and sour, nothing softens the coffee's acids",
        machine="corrosion: such water turns acid easily and eats at metal",
    ),
    ("alkalinity_ppm", "high"): Effect(
        taste="flat and dull, the coffee's acids are taken away", machine="scale wherever there is hardness too"
    ),
    ("solids_mg_per_l", "low"): Effect(
        taste="thin and sharp", machine="corrosion, as with all water that holds little"
    ),
    ("solids_mg_per_l", "high"): Effect(
        taste="heavy, tastes of the water itself", machine="deposits: scale, or salt where softened"
    ),
    ("ph", "low"): Effect(taste="sharp", machine="corrosion of copper and brass"),
    ("ph", "high"): Effect(taste="flat", machine="scale falls out more easily"),
    ("sodium_mg_per_l", "high"): Effect(taste="salty or soapy, typical of softened water"),
}
_TOGETHER = {
    "scales": "Hard and alkaline at once is what scales a boiler fastest.",
    "corrodes": "Soft and hardly buffered at once is what corrodes a boiler; ask its maker what it stands.",
    "softened": "More alkalinity than hardness is typical of softened water; look at its sodium too.",
}


def water_effect(finding: Finding) -> Effect | None:
    """What comes of it; None within the range."""
    return _EFFECTS.get((finding.name, finding.state))


def finding_words(finding: Finding) -> str:
    """A measure against its range, e.g. "Hardness 300 ppm CaCO3: too high for 50 to 175 (…)"."""
    measure = finding.measure
    name = measure.name if measure.name == "pH" else measure.name.capitalize()
    place = "within" if finding.state == "within" else f"too {finding.state} for"
    amount = f"{_amount(finding)} {measure.unit}".rstrip()
    return f"{name} {amount}: {place} {measure.low:g} to {measure.high:g} ({measure.source})"


def together_sentences(states: tuple[str, ...]) -> tuple[str, ...]:
    """What hardness and alkalinity tell only together, a sentence each."""
    return tuple(_TOGETHER[what] for what in states)


def _amount(finding: Finding) -> str:
    """The value to three digits, to more where it would else look like the limit that it lies beyond."""
    value, limits = finding.value, (finding.measure.low, finding.measure.high)
    digits = 0 if value >= 100 else 1 if value >= 10 else 2
    while finding.state != "within" and float(plain(value, digits)) in limits:
        digits += 1
    return plain(value, digits)
