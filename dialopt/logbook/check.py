"""Looks a logbook over: pages, references, each row as what it stands for, and all of it against the journal."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

from dialopt.errors import LogbookDamaged
from dialopt.logbook import error_translation, journal
from dialopt.logbook.schema import TABLES
from dialopt.logbook.store import advice, kit, pairings, shots
from dialopt.logbook.store.recording import transaction

Reader = Callable[[sqlite3.Connection, Mapping[str, Any]], object]
"""Reads a row back as what it stands for, since damage may leave it in a form that SQLite takes. Raises LogbookDamaged
for what was never written."""


def findings(db: sqlite3.Connection) -> list[str]:
    """What is wrong with the file, a sentence each; empty when all is well. Reads all of it."""
    found = []
    try:
        for (line,) in db.execute("PRAGMA integrity_check"):
            if line != "ok":
                found.append(f"The file's structure is damaged: {' '.join(line.split())}.")
        for table, row, parent, _ in db.execute("PRAGMA foreign_key_check"):
            which = "A row" if row is None else f"Row {row}"
            found.append(f"{which} of {table} refers to a row of {parent} that is missing.")
    except error_translation.UNREADABLE as error:
        found.append(f"The file's structure is damaged: {error}.")
    for table in TABLES:
        found += _unread(db, table)
    return found


def against_journal(db: sqlite3.Connection, path: Path) -> list[str]:
    """Where a whole file holds something else than was confirmed, or its journal can't be read. Raises OSError."""
    with transaction(db, "DEFERRED"):
        return journal.differences(db, path)


def _unread(db: sqlite3.Connection, table: str) -> list[str]:
    found = list[str]()
    try:
        cursor = db.execute(f"SELECT * FROM {table}")
        names = [column[0] for column in cursor.description]
        for values in cursor:
            row = dict(zip(names, values, strict=True))
            try:
                _READERS[table](db, row)
            except LogbookDamaged as error:
                found.append(f"Row {values[0]} of {table} holds what was never written: {_why(error)}")
    except error_translation.UNREADABLE as error:
        found.append(f"Not all rows of {table} can be read: {error}.")
    return found


def _why(error: LogbookDamaged) -> str:
    why = error.__cause__
    return f"{str(why).removesuffix('.')}." if isinstance(why, ValueError) else "its parts don't belong together."


def _kit(kind: kit.Kind[Any], db: sqlite3.Connection, row: Mapping[str, Any]) -> None:
    kind.by_row(db, row["id"])
    _moment("saved_at", db, row)


def _revision(db: sqlite3.Connection, row: Mapping[str, Any]) -> None:
    pairings.revision(db, row["pairing_id"], row["revision"])
    _moment("saved_at", db, row)


def _moment(column: str, db: sqlite3.Connection, row: Mapping[str, Any]) -> None:
    with error_translation.reading_back():
        datetime.fromisoformat(row[column])


_READERS: dict[str, Reader] = {
    **{kind.table: partial(_kit, kind) for kind in kit.KINDS.values()},
    "pairings": lambda db, row: None,
    "pairing_revisions": _revision,
    "acts": partial(_moment, "at"),
    "shots": lambda db, row: shots.by_row(db, row["id"]),
    "undone": partial(_moment, "at"),
    "advice": lambda db, row: advice.by_row(db, row["id"]),
}
