"""Brew water against the published ranges."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dialopt.errors import WrongUse
from dialopt.trade.checks import number

STANDARD = "the specialty association's water standard, second-hand"
CHART = "the association's later water chart, second-hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One thing that a strip or a label tells. low, high: the published range. source: its source and trust.

    most: above this no water lies; more is a slip of the pen.
    """

    name: str
    unit: str
    low: float
    high: float
    source: str
    most: float = 10_000.0


MEASURES: dict[str, Measure] = {
    "hardness_ppm": Measure(name="hardness", unit="ppm CaCO3", low=50, high=175, source=CHART),
    "calcium_ppm": Measure(name="calcium hardness", unit="ppm CaCO3", low=17, high=85, source=STANDARD),
    "alkalinity_ppm": Measure(name="alkalinity", unit="ppm CaCO3", low=40, high=75, source=CHART),
    "solids_mg_per_l": Measure(name="dissolved solids", unit="mg/L", low=75, high=250, source=STANDARD),
    "ph": Measure(name="pH", unit="", low=6.5, high=7.5, source=STANDARD, most=14.0),
    "sodium_mg_per_l": Measure(name="sodium", unit="mg/L", low=0, high=30, source=STANDARD),
}
"""By the name that `judged` takes. The standard also names targets: solids 150, calcium hardness 68, alkalinity about
40, pH 7.0, sodium 10 (second-hand)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A measure, by its name in `MEASURES`, judged. state: "low", "within" or "high"."""

    name: str
    measure: Measure
    value: float
    state: str


def judged(**values: float | None) -> dict[str, Finding]:
    """Findings by name, in the order of `MEASURES`, of whichever of its values are known; hardness and alkalinity in
    mg/L as calcium carbonate. Calcium is part of the hardness, and the two ranges come from two editions, so calcium is
    judged only where the hardness isn't known.

    Raises WrongUse with no value at all or one of an unknown name, BadValue for one that no water has.

    >>> judged(hardness_ppm=300.0)["hardness_ppm"].state
    'high'
    """
    known = {name: value for name, value in values.items() if value is not None}
    if not known or not known.keys() <= MEASURES.keys():
        raise WrongUse(f"Water is judged by at least one of {', '.join(MEASURES)}.")
    if "hardness_ppm" in known:
        known.pop("calcium_ppm", None)
    return {name: _finding(name, known[name]) for name in MEASURES if name in known}


def together(findings: Mapping[str, Finding]) -> tuple[str, ...]:
    """What hardness and alkalinity tell only together (common practice), of "scales", "corrodes" and "softened"."""
    if not {"hardness_ppm", "alkalinity_ppm"} <= findings.keys():
        return ()
    hardness, alkalinity = findings["hardness_ppm"], findings["alkalinity_ppm"]
    states = {
        "scales": hardness.state == alkalinity.state == "high",
        "corrodes": hardness.state == alkalinity.state == "low",
        "softened": alkalinity.value > 1.1 * hardness.value,
    }
    return tuple(what for what, so in states.items() if so)


def _finding(name: str, given: float) -> Finding:
    measure = MEASURES[name]
    value = number(measure.name, given, 0, measure.most, measure.unit)
    state = "low" if value < measure.low else "high" if value > measure.high else "within"
    return Finding(name=name, measure=measure, value=value, state=state)
