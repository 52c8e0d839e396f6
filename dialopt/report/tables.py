"""Tables: a figure's numbers, and the shots as rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dialopt.logbook.records import Log
from dialopt.report.hindsight import Look
from dialopt.text.formats import plain, score_span, setting
from dialopt.text.shots import cup_words, remarks
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot, balance_word


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
        cup=cup_words(shot),
        score="" if shot.score is None else plain(shot.score, 2),
        balance="" if shot.balance is None else balance_word(shot.balance),
        predicted=score_span(look.predicted.score) if look else "",
        remarks=remarks(pairing, shot, look.predicted.score if look and look.inside is False else None),
        note=shot.note or "" if notes else "",
    )
