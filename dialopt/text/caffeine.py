"""Caffeine: what some shots hold, and how that stands to the published limits. An estimate, never a diagnosis."""

from __future__ import annotations

import math

from dialopt.text.formats import counted
from dialopt.text.said import Said, rows
from dialopt.trade.caffeine import (
    A_DAY_MG,
    AT_ONCE_MG,
    PREGNANT_A_DAY_MG,
    SOURCE,
    UNKNOWN,
    Caffeine,
    Standing,
    Tally,
)

SPECIES_WORDS = {
    "arabica": "Arabica",
    "robusta": "Robusta",
    "blend": "a blend of species",
    "decaf": "decaffeinated",
    UNKNOWN: "species unknown",
}
_DOCTOR = "ask a doctor, not a program, what is right for you."
_NARROW = "`dialopt bean NAME --species KIND`, then `dialopt pairing --amend`, narrows the range"
_AGAIN = "after more shots, `dialopt caffeine` again"
_SIP = "Sip and spit: what isn't swallowed doesn't count."


def caffeine_said(tally: Tally, pregnant: bool | None) -> Said:
    """The caffeine of today. pregnant: what was set just now."""
    done = {None: "", True: " Pregnancy is set.", False: " Pregnancy is not set."}[pregnant]
    shots = counted(tally.day.shots, "shot") if tally.day.shots else "no shots"
    return Said(
        did=f"Estimated the caffeine of {shots} today.{done}",
        lines=tally_lines(tally),
        next_step=f"{_NARROW if UNKNOWN in tally.species else _AGAIN}; {_DOCTOR}",
    )


def tally_lines(tally: Tally) -> tuple[str, ...]:
    """The caffeine of the sitting and of the day, and the limits, once."""
    of = f", {' and '.join(SPECIES_WORDS[kind] for kind in tally.species)}" if tally.species else ""
    return (
        f"  Caffeine  this sitting {caffeine_words(tally.sitting)}; today {caffeine_words(tally.day)}; if drunk to the "
        f"end{of}",
        f"  Limits    {limits_sentence(pregnant=tally.pregnant)}",
        f"  So        {standing_sentence(tally.standing)}",
    )


def past_lines(tally: Tally) -> tuple[str, ...]:
    """A word unasked, once the day is past its limit."""
    return rows(("Mind", standing_sentence(tally.standing) if tally.past else None))


def caffeine_words(amount: Caffeine) -> str:
    """An amount, to ten milligrams outwards.

    >>> caffeine_words(Caffeine(shots=2, low_mg=144, high_mg=504))
    '2 shots, 140 to 510 mg'
    """
    if not amount.shots:
        return "no shots"
    low, high = math.floor(amount.low_mg / 10) * 10, math.ceil(amount.high_mg / 10) * 10
    return f"{counted(amount.shots, 'shot')}, {low} to {high} mg"


def limits_sentence(*, pregnant: bool) -> str:
    """The published limits with their source."""
    if pregnant:
        return (
            f"In pregnancy and while breastfeeding up to {PREGNANT_A_DAY_MG} mg a day, from all you eat and drink, "
            f"is held safe ({SOURCE})."
        )
    return (
        f"Held safe for healthy adults: up to {AT_ONCE_MG} mg at once and {A_DAY_MG} mg a day; in pregnancy and while "
        f"breastfeeding {PREGNANT_A_DAY_MG} mg a day ({SOURCE})."
    )


def standing_sentence(standing: Standing) -> str:
    """How the sitting and the day stand to the limits, and what to do; in pregnancy the stronger word."""
    limit = f"{standing.limit_mg} mg"
    if standing.pregnant:
        if standing.state == "below":
            return f"The day is below {limit} by this estimate. {_SIP} Ask your doctor or midwife."
        so = f"is past {limit} even by the low end" if standing.state == "past" else f"may be past {limit} already"
        return (
            f"The day {so}, if the cups were drunk: swallow no more today; spit every sip, or let somebody else taste. "
            "Ask your doctor or midwife."
        )
    span = "The day" if standing.of == "day" else "This sitting"
    if standing.state == "past":
        return f"{span} is past {limit} even by the low end, if the cups were drunk. {_SIP} Better go on another day."
    if standing.state == "maybe past":
        return f"{span} may be past {limit} already, if the cups were drunk. {_SIP}"
    return f"Both are below the limits by this estimate. {_SIP}"
