"""Looks a logbook over: page by page, reference by reference, and each row as what it stands for."""

from __future__ import annotations

import sqlite3

from dialopt.errors import LogbookDamaged
from dialopt.logbook import trouble
from dialopt.logbook.store import rows
from dialopt.logbook.store.words import spans


def findings(db: sqlite3.Connection) -> list[str]:
    """What is wrong, a sentence each; empty when all is well. Reads the whole file."""
    found = []
    try:
        for (line,) in db.execute("PRAGMA integrity_check"):
            if line != "ok":
                found.append(f"The file's structure is damaged: {' '.join(line.split())}.")
        for table, row, parent, _ in db.execute("PRAGMA foreign_key_check"):
            which = "A row" if row is None else f"Row {row}"
            found.append(f"{which} of {table} refers to a row of {parent} that is missing.")
    except trouble.UNREADABLE as error:
        found.append(f"The file's structure is damaged: {error}.")
    for each in rows.TABLES:
        found += _unread(db, each)
    return found


def _unread(db: sqlite3.Connection, table: rows.Table) -> list[str]:
    # A damaged page takes many rows with it, so those are told together.
    gone, found, end = list[int](), list[str](), list[int]()
    for number, those in rows.walk(db, table):
        if those is None:
            end.append(number)
            continue
        gone += end
        end = []
        for row in those:
            try:
                table.read_back(db, row)
            except LogbookDamaged as error:
                found.append(f"Row {number} of {table.name} holds what was never written: {_why(error)}")
            except trouble.UNREADABLE:
                gone.append(number)
    if gone:
        found.append(f"Of {table.name} the rows {spans(gone)} can't be read.")
    if end:  # how many there were, nothing tells
        found.append(f"Of {table.name} nothing can be read from row {end[0]} on.")
    return found


def _why(error: LogbookDamaged) -> str:
    why = error.__cause__
    return f"{str(why).removesuffix('.')}." if isinstance(why, ValueError) else "its parts don't belong together."
