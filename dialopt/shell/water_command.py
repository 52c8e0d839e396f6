"""water: a strip or a bottle's label against the published range."""

from __future__ import annotations

from typing import Annotated

import typer

from dialopt.errors import WrongUse
from dialopt.logbook.typed import read_number
from dialopt.shell.answer import Answer
from dialopt.shell.desk import Desk
from dialopt.shell.reading import read_amount
from dialopt.shell.register import command
from dialopt.text.formats import joined
from dialopt.text.water import EFFECTS_SOURCE, finding_words, together_sentences, water_effect
from dialopt.trade.brew_water import Finding, judged, together
from dialopt.trade.water import alkalinity_ppm, hardness_of_ions_ppm, hardness_ppm

_MG = "mg/L, a plain number such as 12"
FITS = "keep to this water while dialling in; `dialopt prepare` says what else to see to."
OTHER = "try another water, or treat this one, and judge it again; then keep to one while dialling in."


def register(app: typer.Typer) -> None:
    """Adds the command."""
    command(app, "water")(water)


def water(
    desk: Desk,
    *,
    hardness: Annotated[
        str | None,
        typer.Option(
            "--hardness", metavar="AMOUNT", help="Total hardness in ppm, °dH, °fH, °Clark, gpg or mmol/L, as '4 °dH'."
        ),
    ] = None,
    alkalinity: Annotated[
        str | None,
        typer.Option(
            "--alkalinity",
            metavar="AMOUNT",
            help="Alkalinity in the same units, dKH, meq/L or mg/L HCO3, as '122 mg/L HCO3'.",
        ),
    ] = None,
    calcium: Annotated[str | None, typer.Option("--calcium", metavar="MG", help="Calcium on the label, mg/L.")] = None,
    magnesium: Annotated[
        str | None, typer.Option("--magnesium", metavar="MG", help="Magnesium on the label, mg/L.")
    ] = None,
    sodium: Annotated[str | None, typer.Option("--sodium", metavar="MG", help="Sodium on the label, mg/L.")] = None,
    solids: Annotated[
        str | None, typer.Option("--solids", metavar="MG", help="Dissolved solids or dry residue, mg/L.")
    ] = None,
    ph: Annotated[str | None, typer.Option("--ph", metavar="PH", help="pH, 0 to 14.")] = None,
) -> Answer:
    """Judge brew water by a test strip or a bottle's label.

    A number without a unit is ppm, mg/L as calcium carbonate. Give whatever is known; with calcium and magnesium but no
    hardness, that follows from the two.
    """
    calcium_mg, magnesium_mg = _mg("calcium", calcium), _mg("magnesium", magnesium)
    if hardness is not None:
        hard: float | None = hardness_ppm(*read_amount("hardness", hardness))
    elif calcium_mg is not None and magnesium_mg is not None:
        hard = hardness_of_ions_ppm(calcium_mg_per_l=calcium_mg, magnesium_mg_per_l=magnesium_mg)
    else:
        hard = None
    values = {
        "hardness_ppm": hard,
        "calcium_ppm": None if calcium_mg is None else hardness_of_ions_ppm(calcium_mg_per_l=calcium_mg),
        "alkalinity_ppm": None if alkalinity is None else alkalinity_ppm(*read_amount("alkalinity", alkalinity)),
        "solids_mg_per_l": _mg("solids", solids),
        "ph": None if ph is None else read_number("ph", ph, "a number from 0 to 14"),
        "sodium_mg_per_l": _mg("sodium", sodium),
    }
    if all(value is None for value in values.values()):
        if magnesium_mg is not None:
            raise WrongUse("Magnesium alone isn't judged; give --calcium too, or --hardness.")
        raise WrongUse("Give what the strip or label says, as in `dialopt water --hardness '4 °dH' --alkalinity 50`.")
    findings = judged(**values)
    outside = [finding.measure.name for finding in findings.values() if finding.state != "within"]
    return Answer(
        did=f"Judged the water: {_listed(outside)}.",
        lines=(
            *(line for finding in findings.values() for line in _lines(finding)),
            *(f"  {sentence}" for sentence in (*together_sentences(together(findings)), *_doubts(alkalinity))),
            *((f"  Ranges with their source; {EFFECTS_SOURCE}.",) if outside else ()),
        ),
        next_step=OTHER if outside else FITS,
        data={
            "findings": {name: _data(finding) for name, finding in findings.items()},
            "together": together_sentences(together(findings)),
        },
    )


def _listed(outside: list[str]) -> str:
    if not outside:
        return "all that is given fits"
    return f"{joined(outside)} out of range"


def _mg(field: str, text: str | None) -> float | None:
    return None if text is None else read_number(field, text, _MG)


def _lines(finding: Finding) -> list[str]:
    effect = water_effect(finding)
    lines = [f"  {finding_words(finding)}"]
    if effect is not None:
        lines += [f"    taste    {effect.taste}"] if effect.taste else []
        lines += [f"    machine  {effect.machine}"] if effect.machine else []
    return lines


def _doubts(alkalinity: str | None) -> tuple[str, ...]:
    """A word where a unit can be read in two ways."""
    if alkalinity is None or "mmol" not in alkalinity.lower():
        return ()
    return ("Alkalinity in mmol/L was read as calcium carbonate; if bicarbonate or acid capacity is meant, say meq/L.",)


def _data(finding: Finding) -> dict[str, object]:
    measure, effect = finding.measure, water_effect(finding)
    return {
        "value": finding.value,
        "unit": measure.unit,
        "low": measure.low,
        "high": measure.high,
        "source": measure.source,
        "state": finding.state,
        "taste": effect.taste if effect else None,
        "machine": effect.machine if effect else None,
    }
