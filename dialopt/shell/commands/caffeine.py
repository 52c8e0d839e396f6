"""caffeine: how much of it today's shots hold, against the published limits."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Annotated, Any

from dialopt.logbook.book import Logbook
from dialopt.logbook.kept import KeptPairing
from dialopt.shell.context import Context
from dialopt.shell.options import Text, option
from dialopt.shell.render import Answer
from dialopt.trade.caffeine import (
    A_DAY_MG,
    AT_ONCE_MG,
    DOCTOR,
    HELD_MG_PER_G,
    PREGNANT_A_DAY_MG,
    SOURCE,
    SPECIES_WORDS,
    UNKNOWN,
    Caffeine,
    against,
    limits_sentence,
    of_day,
    of_sitting,
    standing_sentence,
)
from dialopt.trade.checks import one_of
from dialopt.trade.shot import Shot

AGAIN = "after more shots, `dialopt caffeine` again"
NARROW = "`dialopt bean NAME --species KIND`, then `dialopt pairing --amend`, narrows the range"
RECENT = timedelta(days=3)
"""How far back pairings are read for it: two days for a sitting, one for time zones."""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class CaffeineTally:
    """sitting, day: shots logged here, of all pairings, in this sitting and today. pregnant: as the person set it."""

    sitting: Caffeine
    day: Caffeine
    pregnant: bool

    @property
    def species(self) -> tuple[str, ...]:
        """What the shots of both were pulled from."""
        return tuple(sorted({*self.sitting.species, *self.day.species}))

    @property
    def says(self) -> str:
        """How both stand to the limits."""
        return standing_sentence(self.sitting, self.day, pregnant=self.pregnant)


def caffeine_tally(book: Logbook, now: datetime, otherwise: str = UNKNOWN) -> CaffeineTally:
    """The tally by the shots in the logbook; what came with somebody else's dial-in, somebody else drank.

    otherwise: what beans are taken for that were set up without a species. Raises BadValue for one that isn't known.
    """
    pulled = [
        (shot, kept.pairing.bean.species or otherwise)
        for kept in book.pairings(pulled_since=now - RECENT)
        for shot in _drunk_here(book, kept)
    ]
    return CaffeineTally(sitting=of_sitting(pulled, now), day=of_day(pulled, now.date()), pregnant=book.pregnant())


def _drunk_here(book: Logbook, kept: KeptPairing) -> list[Shot]:
    if kept.pairing.taster is None:
        return book.shots(kept.id)
    logged = {entry.number for act in book.history(kept.id) if act.kind == "log" for entry in act.entries}
    return [entry.shot for entry in book.entries(kept.id) if entry.number in logged]


def tally_lines(tally: CaffeineTally) -> tuple[str, ...]:
    """The tally for the terminal, the limits once."""
    of = f", {' and '.join(SPECIES_WORDS[kind] for kind in tally.species)}" if tally.species else ""
    return (
        f"  Caffeine  this sitting {tally.sitting}; today {tally.day}; if drunk to the end{of}",
        f"  Limits    {limits_sentence(pregnant=tally.pregnant)}",
        f"  So        {tally.says}",
    )


def past_lines(tally: CaffeineTally) -> tuple[str, ...]:
    """A word unasked: once the day is past its limit even by the low end, or may be past it in pregnancy."""
    state = against(tally.day, PREGNANT_A_DAY_MG if tally.pregnant else A_DAY_MG)
    if state == "below" or (state == "maybe past" and not tally.pregnant):
        return ()
    return (f"  Mind     {tally.says}",)


def tally_data(tally: CaffeineTally) -> dict[str, Any]:
    """The tally for a program."""
    at_once, a_day = (None, PREGNANT_A_DAY_MG) if tally.pregnant else (AT_ONCE_MG, A_DAY_MG)
    return {
        "species": list(tally.species),
        "pregnant": tally.pregnant,
        "sitting": {**asdict(tally.sitting), "against_limit": at_once and against(tally.sitting, at_once)},
        "day": {**asdict(tally.day), "against_limit": against(tally.day, a_day)},
        "limits": {**({"at_once_mg": at_once} if at_once else {}), "a_day_mg": a_day, "source": SOURCE},
        "says": tally.says,
    }
