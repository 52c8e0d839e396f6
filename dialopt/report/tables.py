"""Tables: a figure's numbers, and the shots as rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dialopt.logbook.records import Log
from dialopt.report.hindsight import Look
from dialopt.report.words import balance_words, plain, score_span, setting
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import FAULTS, Shot


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Text in rows under a header; the first cell of each row names the row."""

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotRow:
    """A shot in words. remarks: what sets it apart. note: the person's own words, empty unless asked for."""

    number: int
    date: str
    recipe: tuple[str, str, str]
    cup: str
    score: str
    balance: str
    predicted: str
    remarks: tuple[str, ...]
    note: str


def shot_rows(pairing: Pairing, log: Log, looks: Sequence[Look], *, notes: bool) -> tuple[ShotRow, ...]:
    """Every shot in the order they were pulled, with what had been predicted where that is known."""
    predicted = {look.number: look for look in looks}
    return tuple(_row(pairing, number, shot, predicted.get(number), notes) for number, shot in log.items())


def _row(pairing: Pairing, number: int, shot: Shot, look: Look | None, notes: bool) -> ShotRow:
    recipe = shot.recipe
    return ShotRow(
        number=number,
        date=shot.pulled_at.date().isoformat() if shot.pulled_at else "",
        recipe=(setting("grind", recipe.grind), setting("dose_g", recipe.dose_g), setting("temp_c", recipe.temp_c)),
        cup=_cup(shot),
        score="" if shot.score is None else plain(shot.score, 2),
        balance=balance_words(shot.balance),
        predicted=score_span(look.predicted.score) if look else "",
        remarks=tuple(_remarks(pairing, shot, look)),
        note=shot.note or "" if notes else "",
    )


def _cup(shot: Shot) -> str:
    cup = "" if shot.yield_g is None else f"{plain(shot.yield_g)} g"
    time = "" if shot.time_s is None else f"{plain(shot.time_s)} s"
    return " in ".join(part for part in (cup, time) if part)


def _remarks(pairing: Pairing, shot: Shot, look: Look | None) -> list[str]:
    remarks = []
    if not pairing.may_be_meant(shot.recipe):
        remarks.append("Far off the dials, so it isn't read.")
    elif shot.fault is not None:
        uncounted = "" if shot.score is None else " The score doesn't count."
        remarks.append(f"{shot.fault.capitalize()}: {FAULTS[shot.fault]}.{uncounted}")
    elif shot.score is None:
        remarks.append("Not tasted: only the clock and the cup count.")
    elif look is not None and look.inside is False:
        side = "lower" if shot.score < look.predicted.score.low else "higher"
        remarks.append(f"Scored {side} than predicted.")
    if shot.extraction_yield_pct is not None and shot.tds_pct is not None:
        remarks.append(f"Strength {plain(shot.tds_pct)} %, extraction yield {plain(shot.extraction_yield_pct)} %.")
    return remarks
