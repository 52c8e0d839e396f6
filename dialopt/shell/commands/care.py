"""water, prepare, caffeine: what to see to before the first shot, and how much of it today's shots hold."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Annotated, Any

from dialopt.errors import WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import PairingRecord
from dialopt.logbook.typed import read_number
from dialopt.shell.context import Context
from dialopt.shell.data import freshness_data
from dialopt.shell.in_use import current
from dialopt.shell.options import Text, option
from dialopt.shell.parsers import read_amount
from dialopt.shell.render import Answer
from dialopt.text import terminal as words
from dialopt.text.caffeine import DOCTOR, SPECIES_WORDS, caffeine_words, limits_sentence, standing_sentence
from dialopt.text.formats import joined
from dialopt.text.guidance import HOLD_STILL, MILK
from dialopt.text.water import EFFECTS_SOURCE, finding_words, together_sentences, water_effect
from dialopt.trade import caffeine as trade
from dialopt.trade.brew_water import Finding, judged, together
from dialopt.trade.caffeine import HELD_MG_PER_G, UNKNOWN, Caffeine
from dialopt.trade.checks import one_of
from dialopt.trade.shot import Shot
from dialopt.trade.water import alkalinity_ppm, hardness_of_ions_ppm, hardness_ppm

_MG = "mg/L, a plain number such as 12"
FITS = "keep to this water while dialling in; `dialopt prepare` says what else to see to."
OTHER = "try another water, or treat this one, and judge it again; then keep to one while dialling in."
NO_DATE = "  Beans    no roasting date noted; `dialopt bean NAME --roasted-on DATE`, then `dialopt pairing --amend`"
READY = "`dialopt water` judges the water, `dialopt next` says what to pull."
AGAIN = "after more shots, `dialopt caffeine` again"
NARROW = "`dialopt bean NAME --species KIND`, then `dialopt pairing --amend`, narrows the range"
RECENT = timedelta(days=3)
"""How far back pairings are read for it: two days for a sitting, one for time zones."""
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
    calcium_mg, magnesium_mg = _mg("calcium", calcium), _mg("magnesium", magnesium)
    hard: float | None = None
    if hardness is not None:
        hard = hardness_ppm(*read_amount("hardness", hardness))
    elif calcium_mg is not None and magnesium_mg is not None:
        hard = hardness_of_ions_ppm(calcium_mg_per_l=calcium_mg, magnesium_mg_per_l=magnesium_mg)
    values = {
        "hardness_ppm": hard,
        "calcium_ppm": None if calcium_mg is None else hardness_of_ions_ppm(calcium_mg_per_l=calcium_mg),
        "alkalinity_ppm": None if alkalinity is None else alkalinity_ppm(*read_amount("alkalinity", alkalinity)),
        "solids_mg_per_l": _mg("solids", solids),
        "ph": None if ph is None else read_number("ph", ph, "a number from 0 to 14"),
        "sodium_mg_per_l": _mg("sodium", sodium),
    }
    if all(value is None for value in values.values()):
        raise WrongUse(
            "Magnesium alone isn't judged; give --calcium too, or --hardness."
            if magnesium_mg is not None
            else "Give what the strip or label says, as in `dialopt water --hardness '4 °dH' --alkalinity 50`."
        )
    findings = judged(**values)
    outside = [finding.measure.name for finding in findings.values() if finding.state != "within"]
    return Answer(
        did=f"Judged the water: {f'{joined(outside)} out of range' if outside else 'all that is given fits'}.",
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


def prepare(context: Context) -> Answer:
    """Say what to see to before the first shot of a sitting.

    How fresh the beans are, what the basket takes, what to hold still while dialling in, and milk where it is for milk.
    """
    with context.book() as book:
        record = current(book)
        pulled = [shot.pulled_at.date() for shot in book.shots(record.id) if shot.pulled_at is not None]
    pairing, today = record.pairing, context.now().date()
    roasted_on, dial = pairing.bean.roasted_on, pairing.basket.dose_g
    early = [day for day in pulled if roasted_on is not None and day < roasted_on]
    milk = MILK if pairing.drink == "milk" else ()
    takes = f"{dial.low:g} to {dial.high:g} g" if not dial.fixed else f"{dial.low:g} g"
    return Answer(
        did=f"What to see to before pulling {pairing.title}:",
        lines=(
            *(words.freshness_lines(pairing.bean, today) or (NO_DATE,)),
            *(f"  Mind     a shot was pulled on {day}, before that roasting date: is it right?" for day in early[:1]),
            f"  Dose     {pairing.basket.name} takes {takes}; weigh each dose",
            "  Hold still while dialling in (common practice):",
            *(f"    {what:<14}{how}" for what, how in HOLD_STILL),
            *(("  Milk:",) if milk else ()),
            *(f"    {what:<14}{how}" for what, how in milk),
        ),
        next_step=READY,
        data={
            "pairing": record.id,
            "freshness": freshness_data(pairing.bean, today),
            "shot_before_roasting": bool(early),
            "basket": {"name": pairing.basket.name, "low_g": dial.low, "high_g": dial.high},
            "hold_still": dict(HOLD_STILL),
            "milk": dict(milk) or None,
        },
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
    done = {None: "", True: " Pregnancy is set.", False: " Pregnancy is not set."}[setting]
    return Answer(
        did=f"Estimated the caffeine of {tally.day.shots or 'no'} shot{'s' * (tally.day.shots != 1)} today.{done}",
        lines=tally_lines(tally),
        next_step=f"{NARROW if UNKNOWN in tally.species else AGAIN}; {DOCTOR}",
        data=tally_data(tally),
    )


def _mg(field: str, text: str | None) -> float | None:
    return None if text is None else read_number(field, text, _MG)


def _lines(finding: Finding) -> list[str]:
    effect = water_effect(finding)
    return [
        f"  {finding_words(finding)}",
        *([f"    taste    {effect.taste}"] if effect and effect.taste else []),
        *([f"    machine  {effect.machine}"] if effect and effect.machine else []),
    ]


def _doubts(alkalinity: str | None) -> tuple[str, ...]:
    """A word where a unit can be read in two ways."""
    if alkalinity is None or "mmol" not in alkalinity.lower():
        return ()
    return ("Alkalinity in mmol/L was read as calcium carbonate; if bicarbonate or acid capacity is meant, say meq/L.",)


def _data(finding: Finding) -> dict[str, object]:
    measure, effect = finding.measure, water_effect(finding)
    return {
        **{name: getattr(measure, name) for name in ("unit", "low", "high", "source")},
        "value": finding.value,
        "state": finding.state,
        "taste": effect.taste if effect else None,
        "machine": effect.machine if effect else None,
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """sitting, day: shots logged here, of all pairings, in this sitting and today. pregnant: as the person set it."""

    sitting: Caffeine
    day: Caffeine
    pregnant: bool

    @property
    def species(self) -> tuple[str, ...]:
        """What the shots of both were pulled from."""
        return tuple(sorted({*self.sitting.species, *self.day.species}))

    @property
    def a_day_mg(self) -> int:
        """The limit of a day, mg."""
        return trade.PREGNANT_A_DAY_MG if self.pregnant else trade.A_DAY_MG

    @property
    def says(self) -> str:
        """How both stand to the limits."""
        return standing_sentence(trade.standing(self.sitting, self.day, pregnant=self.pregnant))


def caffeine_tally(book: Logbook, now: datetime, otherwise: str = UNKNOWN) -> Tally:
    """The tally by the shots in the logbook; what came with somebody else's dial-in, somebody else drank.

    otherwise: what beans are taken for that were set up without a species. Raises BadValue for one that isn't known.
    """
    pulled = [
        (shot, record.pairing.bean.species or otherwise)
        for record in book.pairings(pulled_since=now - RECENT)
        for shot in _drunk_here(book, record)
    ]
    sitting, day = trade.of_sitting(pulled, now), trade.of_day(pulled, now.date())
    return Tally(sitting=sitting, day=day, pregnant=book.pregnant())


def _drunk_here(book: Logbook, record: PairingRecord) -> list[Shot]:
    if record.pairing.taster is None:
        return book.shots(record.id)
    logged = {
        entry.number for operation in book.history(record.id) if operation.kind == "log" for entry in operation.entries
    }
    return [entry.shot for entry in book.entries(record.id) if entry.number in logged]


def tally_lines(tally: Tally) -> tuple[str, ...]:
    """The tally for the terminal, the limits once."""
    sitting, day = caffeine_words(tally.sitting), caffeine_words(tally.day)
    of = f", {' and '.join(SPECIES_WORDS[kind] for kind in tally.species)}" if tally.species else ""
    return (
        f"  Caffeine  this sitting {sitting}; today {day}; if drunk to the end{of}",
        f"  Limits    {limits_sentence(pregnant=tally.pregnant)}",
        f"  So        {tally.says}",
    )


def past_lines(tally: Tally) -> tuple[str, ...]:
    """A word unasked: once the day is past its limit even by the low end, or may be past it in pregnancy."""
    unasked = ("past", "maybe past") if tally.pregnant else ("past",)
    return (f"  Mind     {tally.says}",) if trade.against(tally.day, tally.a_day_mg) in unasked else ()


def tally_data(tally: Tally) -> dict[str, Any]:
    """The tally for a program."""
    at_once = None if tally.pregnant else trade.AT_ONCE_MG
    limits = {"at_once_mg": at_once, "a_day_mg": tally.a_day_mg, "source": trade.SOURCE}
    return {
        "species": list(tally.species),
        "pregnant": tally.pregnant,
        "sitting": {**asdict(tally.sitting), "against_limit": at_once and trade.against(tally.sitting, at_once)},
        "day": {**asdict(tally.day), "against_limit": trade.against(tally.day, tally.a_day_mg)},
        "limits": {name: value for name, value in limits.items() if value is not None},
        "says": tally.says,
    }
