"""Looks a logbook over, page by page and reference by reference."""

from __future__ import annotations

import sqlite3


def findings(db: sqlite3.Connection) -> list[str]:
    """What is wrong, a sentence each; empty when all is well. Reads the whole file."""
    found = [
        f"The file's structure is damaged: {line}." for (line,) in db.execute("PRAGMA integrity_check") if line != "ok"
    ]
    for table, row, parent, _ in db.execute("PRAGMA foreign_key_check"):
        found.append(f"Row {row} of {table} refers to a row of {parent} that is missing.")
    return found
