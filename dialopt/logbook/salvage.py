"""What a damaged logbook still yields, taken over into a whole one of earlier date."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from dialopt.errors import LogbookDamaged, NotFound
from dialopt.logbook import trouble
from dialopt.logbook.store import pairings, rows, settings

_LOOKED_AT = 20
"""So many of the last acts tell whether two files are of one history."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Salvaged:
    """shots: how many entries of shots were taken over whose pairing can be shown. lost: how many rows were seen and
    couldn't be; what lay beyond the last that could be read, nothing tells.
    """

    shots: int
    lost: int


def salvage(damaged: sqlite3.Connection, whole: sqlite3.Connection) -> Salvaged | None:
    """Adds to a whole logbook the rows that only the damaged one of the same schema has; None when it isn't its later.

    What both have is left as the whole one has it. A row is taken when the tables' own rules, its references and the
    trade's values allow it. Raises sqlite3.Error for a whole one that isn't.
    """
    if not _one_history(damaged, whole):
        return None
    lost, shots = 0, 0
    for table in rows.TABLES:
        beyond = 0  # unreadable numbers after the last readable one: rows, or none at all
        for number, those in rows.walk(damaged, table):
            known = {_key(table, row) for row in rows.read(whole, table, number) or ()}
            if those is None:
                beyond += not known
                continue
            lost, beyond = lost + beyond, 0
            for row in those:
                if _key(table, row) in known:
                    continue
                took = _took(whole, table, row)
                shots += took and table is rows.SHOTS and pairings.is_listed(whole, row["pairing_id"])
                lost += not took
    _take_settings(damaged, whole)
    return Salvaged(shots=shots, lost=lost)


def _key(table: rows.Table, row: rows.Row) -> tuple[object, ...]:
    return tuple(row[column] for column in table.keys)


def _one_history(damaged: sqlite3.Connection, whole: sqlite3.Connection) -> bool:
    (last,) = whole.execute("SELECT coalesce(max(id), 0) FROM acts").fetchone()
    numbers = range(max(last - _LOOKED_AT, 0) + 1, last + 1)
    both = [(rows.read(whole, rows.ACTS, number), rows.read(damaged, rows.ACTS, number)) for number in numbers]
    agree = [mine == theirs for mine, theirs in both if theirs is not None]
    return not last or sum(agree) > len(agree) / 2


def _took(whole: sqlite3.Connection, table: rows.Table, row: rows.Row) -> bool:
    whole.execute("SAVEPOINT row_by_row")
    try:
        marks = ", ".join("?" * len(row))
        whole.execute(f"INSERT INTO {table.name} ({', '.join(row)}) VALUES ({marks})", tuple(row.values()))
        table.read_back(whole, row)
    except (sqlite3.IntegrityError, LogbookDamaged):
        whole.execute("ROLLBACK TO row_by_row")
        return False
    finally:
        whole.execute("RELEASE row_by_row")
    return True


def _take_settings(damaged: sqlite3.Connection, whole: sqlite3.Connection) -> None:
    try:
        kept = damaged.execute("SELECT name, value FROM settings").fetchall()
    except trouble.UNREADABLE:
        return
    for name, value in kept:
        whole.execute("SAVEPOINT one_setting")
        try:
            settings.keep(whole, name, value)
            if name == pairings.CURRENT:
                pairings.current(whole)
        except (sqlite3.IntegrityError, LogbookDamaged, NotFound):
            whole.execute("ROLLBACK TO one_setting")
        whole.execute("RELEASE one_setting")
