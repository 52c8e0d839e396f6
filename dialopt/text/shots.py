"""A shot on a page: its cup, what sets it apart, and what its mark says."""

from __future__ import annotations

from dialopt.engine.advice import Estimate
from dialopt.text.formats import plain
from dialopt.text.recipes import recipe_words
from dialopt.trade.fields import NOTED_FIELDS
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import FAULTS, Shot


def cup_words(shot: Shot) -> str:
    """What came out, e.g. "36.2 g in 21 s"; empty where neither was noted."""
    cup = "" if shot.yield_g is None else f"{plain(shot.yield_g)} g"
    time = "" if shot.time_s is None else f"{plain(shot.time_s)} s"
    return " in ".join(part for part in (cup, time) if part)


def context_words(shot: Shot) -> list[str]:
    """What was noted of it that nothing is learned from, e.g. "6 s preinfusion"."""
    noted = [(field.said, getattr(shot, field.name)) for field in NOTED_FIELDS if field.context]
    return [said.format(value) for said, value in noted if value is not None]


def mark_says(number: int, shot: Shot) -> str:
    """What a shot's mark says when pointed at. Holds numbers and fixed words only."""
    parts = [f"shot {number}", recipe_words(shot.recipe)]
    if shot.time_s is not None:
        parts.append(f"{plain(shot.time_s)} s")
    if shot.score is not None:
        parts.append(f"score {plain(shot.score, 2)}")
    if shot.fault is not None:
        parts.append(shot.fault)
    return ", ".join(parts)


def remarks(pairing: Pairing, shot: Shot, missed: Estimate | None) -> tuple[str, ...]:
    """What sets a shot apart. missed: the interval that its score lies outside of, where it does."""
    said = []
    if not pairing.may_be_meant(shot.recipe):
        said.append("Far off the dials, so it isn't read.")
    elif shot.fault is not None:
        uncounted = "" if shot.score is None else " The score doesn't count."
        said.append(f"{shot.fault.capitalize()}: {FAULTS[shot.fault]}.{uncounted}")
    elif shot.score is None:
        said.append("Not tasted: only the clock and the cup count.")
    elif missed is not None:
        said.append(f"Scored {'lower' if shot.score < missed.low else 'higher'} than predicted.")
    if shot.extraction_yield_pct is not None and shot.tds_pct is not None:
        said.append(f"Strength {plain(shot.tds_pct)} %, extraction yield {plain(shot.extraction_yield_pct)} %.")
    return (*said, *(f"{words[0].upper()}{words[1:]}." for words in context_words(shot)))
