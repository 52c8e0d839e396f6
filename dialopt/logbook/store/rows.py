"""Every table row by row: what `check` looks through, and what is taken over from a damaged file.

Rows are only ever added, so their numbers run from 1 without gaps, and a file of later date holds the rows of an
earlier one and more. A row is read back as what it stands for, since damage may leave it in a form that SQLite takes.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from dialopt.logbook import trouble
from dialopt.logbook.store import advice, kit, pairings, shots
from dialopt.logbook.store.words import moment

Row = Mapping[str, Any]

GIVE_UP = 1_000
"""So many numbers in a row without anything readable end a table: more than the smallest rows that fit one page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table. keys: the column that counts its rows, and what tells those of one number apart, if anything.

    read_back: raises LogbookDamaged for what was never written.
    """

    name: str
    keys: tuple[str, ...]
    read_back: Callable[[sqlite3.Connection, Row], object]


def _kit(kind: kit.Kind[Any], db: sqlite3.Connection, row: Row) -> None:
    kit.by_row(db, kind, row["id"])
    _moment("saved_at", db, row)


def _revision(db: sqlite3.Connection, row: Row) -> None:
    pairings.revision(db, row["pairing_id"], row["revision"])
    _moment("saved_at", db, row)


def _moment(column: str, db: sqlite3.Connection, row: Row) -> None:
    with trouble.reading_back():
        moment(row[column])


def _nothing(db: sqlite3.Connection, row: Row) -> None:
    pass


ACTS = Table(name="acts", keys=("id",), read_back=partial(_moment, "at"))
SHOTS = Table(name="shots", keys=("id",), read_back=lambda db, row: shots.by_row(db, row["id"]))
TABLES: tuple[Table, ...] = (
    *(
        Table(name=kind.table, keys=("id",), read_back=partial(_kit, kind))
        for kind in (kit.GRINDERS, kit.MACHINES, kit.BASKETS, kit.BEANS)
    ),
    Table(name="pairings", keys=("id",), read_back=_nothing),
    Table(name="pairing_revisions", keys=("pairing_id", "revision"), read_back=_revision),
    ACTS,
    SHOTS,
    Table(name="undone", keys=("act_id",), read_back=partial(_moment, "at")),
    Table(name="advice", keys=("id",), read_back=lambda db, row: advice.by_row(db, row["id"])),
)
"""All tables but the settings, each after those that it refers to."""


def walk(db: sqlite3.Connection, table: Table) -> Iterator[tuple[int, list[Row] | None]]:
    """Each number with its rows, more than one only where revisions share it; None where they can't be read."""
    number, without = 0, 0
    while without < GIVE_UP:
        number, without = number + 1, without + 1
        found = read(db, table, number)
        if found:
            without = 0
        if found != []:
            yield number, found


def read(db: sqlite3.Connection, table: Table, number: int) -> list[Row] | None:
    """The rows of that number; None where they can't be read."""
    try:
        cursor = db.execute(f"SELECT * FROM {table.name} WHERE {table.keys[0]} = ?", (number,))
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, row, strict=True)) for row in cursor]
    except trouble.UNREADABLE:
        return None
