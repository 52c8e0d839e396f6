"""Brew water against the published ranges, and what water outside them does to the cup and to the machine."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.errors import WrongUse
from dialopt.trade.checks import number

STANDARD = "the specialty association's water standard, second-hand"
CHART = "the association's later water chart, second-hand"
EFFECTS = "what it does to taste and machine is common practice"


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What water beyond one end of a range does. taste: to the cup. machine: scale or corrosion; empty for none."""

    taste: str
    machine: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One thing that a strip or a label tells. low, high: the published range. source: its source and trust.

    too_low, too_high: what water beyond that end does (common practice). most: above this no water lies; more is a slip
    of the pen.
    """

    name: str
    unit: str
    low: float
    high: float
    source: str
    too_low: Effect
    too_high: Effect
    most: float = 10_000.0


MEASURES: dict[str, Measure] = {
    "hardness_ppm": Measure(
        name="hardness",
        unit="ppm CaCO3",
        low=50,
        high=175,
        source=CHART,
        too_low=Effect(
            taste="thin and flat, little is drawn from the coffee",
            machine="no scale, but very soft water eats at metal, and some boilers' level probes don't see it",
        ),
        too_high=Effect(taste="heavy, dull, chalky", machine="scale in boiler and pipes: soften it, or descale often"),
    ),
    "calcium_ppm": Measure(
        name="calcium hardness",
        unit="ppm CaCO3",
        low=17,
        high=85,
        source=STANDARD,
        too_low=Effect(taste="thin, with little body"),
        too_high=Effect(taste="heavy, chalky", machine="scale, the more the higher the alkalinity is"),
    ),
    "alkalinity_ppm": Measure(
        name="alkalinity",
        unit="ppm CaCO3",
        low=40,
        high=75,
        source=CHART,
        too_low=Effect(
            taste="sharp and sour, nothing softens the coffee's acids",
            machine="corrosion: such water turns acid easily and eats at metal",
        ),
        too_high=Effect(
            taste="flat and dull, the coffee's acids are taken away", machine="scale wherever there is hardness too"
        ),
    ),
    "solids_mg_per_l": Measure(
        name="dissolved solids",
        unit="mg/L",
        low=75,
        high=250,
        source=STANDARD,
        too_low=Effect(taste="thin and sharp", machine="corrosion, as with all water that holds little"),
        too_high=Effect(taste="heavy, tastes of the water itself", machine="deposits: scale, or salt where softened"),
    ),
    "ph": Measure(
        name="pH",
        unit="",
        low=6.5,
        high=7.5,
        source=STANDARD,
        too_low=Effect(taste="sharp", machine="corrosion of copper and brass"),
        too_high=Effect(taste="flat", machine="scale falls out more easily"),
        most=14.0,
    ),
    "sodium_mg_per_l": Measure(
        name="sodium",
        unit="mg/L",
        low=0,
        high=30,
        source=STANDARD,
        too_low=Effect(taste=""),
        too_high=Effect(taste="salty or soapy, typical of softened water"),
    ),
}
"""By the name that `judged` takes. The standard also names targets: solids 150, calcium hardness 68, alkalinity about
40, pH 7.0, sodium 10 (second-hand)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One measure judged. state: "low", "within" or "high". effect: None within the range."""

    measure: Measure
    value: float
    state: str
    effect: Effect | None


def judged(**values: float | None) -> dict[str, Finding]:
    """Findings by name, in the order of `MEASURES`, of whichever of its values are known; hardness and alkalinity in
    mg/L as calcium carbonate.

    Raises WrongUse with no value at all or one of an unknown name, BadValue for one that no water has.

    >>> judged(hardness_ppm=300.0)["hardness_ppm"].state
    'high'
    """
    known = {name: value for name, value in values.items() if value is not None}
    if not known or not known.keys() <= MEASURES.keys():
        raise WrongUse(f"Water is judged by at least one of {', '.join(MEASURES)}.")
    return {name: _finding(measure, known[name]) for name, measure in MEASURES.items() if name in known}


def together(findings: dict[str, Finding]) -> tuple[str, ...]:
    """What hardness and alkalinity tell only together, a sentence each (common practice)."""
    if not {"hardness_ppm", "alkalinity_ppm"} <= findings.keys():
        return ()
    hardness, alkalinity = findings["hardness_ppm"], findings["alkalinity_ppm"]
    said = []
    if hardness.state == alkalinity.state == "high":
        said.append("Hard and alkaline at once is what scales a boiler fastest.")
    if hardness.state == alkalinity.state == "low":
        said.append("Soft and hardly buffered at once is what corrodes a boiler; ask its maker what it stands.")
    if alkalinity.value > 1.1 * hardness.value:
        said.append("More alkalinity than hardness is typical of softened water; look at its sodium too.")
    return tuple(said)


def _finding(measure: Measure, given: float) -> Finding:
    value = number(measure.name, given, 0, measure.most, measure.unit)
    if value < measure.low:
        return Finding(measure=measure, value=value, state="low", effect=measure.too_low)
    if value > measure.high:
        return Finding(measure=measure, value=value, state="high", effect=measure.too_high)
    return Finding(measure=measure, value=value, state="within", effect=None)
