"""Looks a logbook over: pages, references, each row as what it stands for, and all of it against the journal."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from dialopt.errors import LogbookDamaged
from dialopt.logbook import error_translation, journal
from dialopt.logbook.schema import TABLES
from dialopt.logbook.store import advice, pairings, shots
from dialopt.logbook.store.kit import KINDS
from dialopt.logbook.store.recording import rows, transaction


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
        for row in rows(db, table):
            try:
                _read_back(db, table, row)
            except LogbookDamaged as error:
                number, why = next(iter(row.values())), error.__cause__
                said = str(why).removesuffix(".") if isinstance(why, ValueError) else "its parts don't belong together"
                found.append(f"Row {number} of {table} holds what was never written: {said}.")
    except error_translation.UNREADABLE as error:
        found.append(f"Not all rows of {table} can be read: {error}.")
    return found


def _read_back(db: sqlite3.Connection, table: str, row: Mapping[str, Any]) -> None:
    """Reads a row as what it stands for, since damage may leave it in a form that SQLite takes.

    Raises LogbookDamaged for what was never written.
    """
    if table == "shots":
        shots.by_row(db, row["id"])
    elif table == "advice":
        advice.by_row(db, row["id"])
    elif table == "pairing_revisions":
        pairings.revision(db, row["pairing_id"], row["revision"])
    elif table.removesuffix("s") in KINDS:
        KINDS[table.removesuffix("s")].by_row(db, row["id"])
    with error_translation.reading_back():
        for column in ("saved_at", "at"):
            if column in row:
                datetime.fromisoformat(row[column])
