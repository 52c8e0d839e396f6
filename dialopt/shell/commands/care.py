"""water, prepare, caffeine: what to see to before the first shot, and how much of it today's shots hold."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Annotated, Any

from dialopt.errors import WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.others import pulled_here
from dialopt.logbook.typed import read_number
from dialopt.shell.context import Context
from dialopt.shell.in_use import current
from dialopt.shell.options import Text, option
from dialopt.shell.parsers import read_amount
from dialopt.shell.render import Answer, answered, freshness_data
from dialopt.text import water as words
from dialopt.text.accepted import MG, PH
from dialopt.text.caffeine import caffeine_said, standing_sentence
from dialopt.text.guidance import HOLD_STILL, MILK, prepare_said
from dialopt.trade import caffeine as trade
from dialopt.trade.brew_water import Finding, judged, together
from dialopt.trade.caffeine import HELD_MG_PER_G, UNKNOWN, Tally
from dialopt.trade.checks import one_of
from dialopt.trade.freshness import pulled_on
from dialopt.trade.water import alkalinity_ppm, hardness_of_ions_ppm, hardness_ppm

_RECENT = timedelta(days=3)
"""How far back pairings are read for caffeine: two days for a sitting, one for time zones."""
_HARDNESS = "Total hardness in ppm, °dH, °fH, °Clark, gpg or mmol/L, as '4 °dH'."
_ALKALINITY = "Alkalinity in the same units, dKH, meq/L or mg/L HCO3, as '122 mg/L HCO3'."


def water(
    context: Context,
    *,
    hardness: Annotated[Text, option("AMOUNT", _HARDNESS)] = None,
    alkalinity: Annotated[Text, option("AMOUNT", _ALKALINITY)] = None,
    calcium: Annotated[Text, option("MG", "Calcium on the label, mg/L.")] = None,
    magnesium: Annotated[Text, option("MG", "Magnesium on the label, mg/L.")] = None,
    sodium: Annotated[Text, option("MG", "Sodium on the label, mg/L.")] = None,
    solids: Annotated[Text, option("MG", "Dissolved solids or dry residue, mg/L.")] = None,
    ph: Annotated[Text, option("PH", "pH, 0 to 14.")] = None,
) -> Answer:
    """Judge brew water by a test strip or a bottle's label.

    A number without a unit is ppm, mg/L as calcium carbonate. Give whatever is known; with calcium and magnesium but no
    hardness, that follows from the two.
    """
    mg = {
        name: None if typed is None else read_number(name, typed, MG)
        for name, typed in (("calcium", calcium), ("magnesium", magnesium), ("solids", solids), ("sodium", sodium))
    }
    calcium_mg, magnesium_mg = mg["calcium"], mg["magnesium"]
    hard: float | None = None
    if hardness is not None:
        hard = hardness_ppm(*read_amount("hardness", hardness))
    elif calcium_mg is not None and magnesium_mg is not None:
        hard = hardness_of_ions_ppm(calcium_mg_per_l=calcium_mg, magnesium_mg_per_l=magnesium_mg)
    values = {
        "hardness_ppm": hard,
        "calcium_ppm": None if calcium_mg is None else hardness_of_ions_ppm(calcium_mg_per_l=calcium_mg),
        "alkalinity_ppm": None if alkalinity is None else alkalinity_ppm(*read_amount("alkalinity", alkalinity)),
        "solids_mg_per_l": mg["solids"],
        "ph": None if ph is None else read_number("ph", ph, PH),
        "sodium_mg_per_l": mg["sodium"],
    }
    if all(value is None for value in values.values()):
        raise WrongUse(words.NOTHING_GIVEN if magnesium is None else words.MAGNESIUM_ALONE)
    findings = judged(**values)
    return answered(
        words.water_said(findings, alkalinity=alkalinity),
        findings={name: _finding_data(finding) for name, finding in findings.items()},
        together=words.together_sentences(together(findings)),
    )


def prepare(context: Context) -> Answer:
    """Say what to see to before the first shot of a sitting.

    How fresh the beans are, what the basket takes, what to hold still while dialling in, and milk where it is for milk.
    """
    with context.book() as book:
        record = current(book)
        dated = [(shot.pulled_at.date(), shot) for shot in book.shots(record.id) if shot.pulled_at is not None]
    pairing, today = record.pairing, context.now().date()
    dial = pairing.basket.dose_g
    early = [day for day, shot in dated if pulled_on(pairing.bean, shot) is None]
    return answered(
        prepare_said(pairing, today, early),
        pairing=record.id,
        freshness=freshness_data(pairing.bean, today),
        shot_before_roasting=bool(early),
        basket={"name": pairing.basket.name, "low_g": dial.low, "high_g": dial.high},
        hold_still=dict(HOLD_STILL),
        milk=dict(MILK) if pairing.drink == "milk" else None,
    )


def caffeine(
    context: Context,
    *,
    species: Annotated[
        str, option("|".join(HELD_MG_PER_G), "What to take beans for that were set up without --species.")
    ] = UNKNOWN,
    pregnant: Annotated[Text, option("yes|no", "Set it once, and every word on caffeine minds it.")] = None,
) -> Answer:
    """Estimate the caffeine of today's shots and of this sitting.

    It goes by the doses of all shots logged with a time, as a range, as if every cup were drunk to the end. A sitting
    ends with two hours without a shot. It knows nothing of what else you drink, and nothing of you.
    """
    setting = None if pregnant is None else one_of("pregnant", pregnant, ("yes", "no")) == "yes"
    one_of("species", species, tuple(HELD_MG_PER_G))  # before anything is set
    with context.book() as book:
        if setting is not None:
            book.set_pregnant(setting)
        tally = caffeine_tally(book, context.now(), species)
    return answered(caffeine_said(tally, setting), **tally_data(tally))


def caffeine_tally(book: Logbook, now: datetime, otherwise: str = UNKNOWN) -> Tally:
    """The tally by the shots in the logbook; what came with somebody else's dial-in, somebody else drank.

    otherwise: what beans are taken for that were set up without a species. Raises BadValue for one that isn't known.
    """
    pulled = [
        (shot, record.pairing.bean.species or otherwise)
        for record in book.pairings(pulled_since=now - _RECENT)
        for shot in pulled_here(
            record, book.entries(record.id), book.history(record.id) if record.pairing.taster else ()
        )
    ]
    sitting, day = trade.of_sitting(pulled, now), trade.of_day(pulled, now.date())
    return Tally(sitting=sitting, day=day, pregnant=book.pregnant())


def tally_data(tally: Tally) -> dict[str, Any]:
    """The caffeine of a sitting and a day, mg, and the limits for them."""
    limits = {"at_once_mg": tally.at_once_mg, "a_day_mg": tally.a_day_mg, "source": trade.SOURCE}
    sitting = tally.at_once_mg and trade.against(tally.sitting, tally.at_once_mg)
    day = trade.against(tally.day, tally.a_day_mg)
    return {
        "species": list(tally.species),
        "pregnant": tally.pregnant,
        "sitting": {**asdict(tally.sitting), "against_limit": sitting},
        "day": {**asdict(tally.day), "against_limit": day},
        "limits": {name: value for name, value in limits.items() if value is not None},
        "says": standing_sentence(tally.standing),
    }


def _finding_data(finding: Finding) -> dict[str, object]:
    measure, effect = finding.measure, words.water_effect(finding)
    return {
        **{name: getattr(measure, name) for name in ("unit", "low", "high", "source")},
        "value": finding.value,
        "state": finding.state,
        "taste": effect.taste if effect else None,
        "machine": effect.machine if effect else None,
    }
