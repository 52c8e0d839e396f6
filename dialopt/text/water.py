"""What brew water outside the published ranges does to the cup and to the machine (common practice)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dialopt.text.formats import joined, plain
from dialopt.text.said import Said, rows
from dialopt.trade.brew_water import Finding, together


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """taste: to the cup. machine: scale or corrosion; empty for none."""

    taste: str
    machine: str = ""


_EFFECTS_SOURCE = "what it does to taste and machine is common practice"
_FITS = "keep to this water while dialling in; `dialopt prepare` says what else to see to."
_OTHER = "try another water, or treat this one, and judge it again; then keep to one while dialling in."
_MMOL = "Alkalinity in mmol/L was read as calcium carbonate; if bicarbonate or acid capacity is meant, say meq/L."
NOTHING_GIVEN = "Give what the strip or label says, as in `dialopt water --hardness '4 °dH' --alkalinity 50`."
MAGNESIUM_ALONE = "Magnesium alone isn't judged; give --calcium too, or --hardness."
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


def water_said(findings: Mapping[str, Finding], *, alkalinity: str | None) -> Said:
    """The water judged. alkalinity: as it was typed; one of its units can be read in two ways."""
    outside = [finding.measure.name for finding in findings.values() if finding.state != "within"]
    told = [*together_sentences(together(findings))]
    told += [_MMOL] if "mmol" in (alkalinity or "").lower() else []
    told += [f"Ranges with their source; {_EFFECTS_SOURCE}."] if outside else []
    return Said(
        did=f"Judged the water: {f'{joined(outside)} out of range' if outside else 'all that is given fits'}.",
        lines=(
            *(line for finding in findings.values() for line in _finding_lines(finding)),
            *(f"  {sentence}" for sentence in told),
        ),
        next_step=_OTHER if outside else _FITS,
    )


def water_effect(finding: Finding) -> Effect | None:
    """What comes of it; None within the range."""
    return _EFFECTS.get((finding.name, finding.state))


def _finding_lines(finding: Finding) -> tuple[str, ...]:
    effect = water_effect(finding) or Effect(taste="")
    effects = rows(("taste", effect.taste), ("machine", effect.machine))
    return (f"  {finding_words(finding)}", *(f"  {line}" for line in effects))


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
