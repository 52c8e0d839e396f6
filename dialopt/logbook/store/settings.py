"""Settings: what a person prefers now. The one table whose rows are replaced."""

from __future__ import annotations

import sqlite3


def kept(db: sqlite3.Connection, name: str) -> str | None:
    """The value kept under this name, None when there is none."""
    row = db.execute("SELECT value FROM settings WHERE name = ?", (name,)).fetchone()
    return None if row is None else str(row[0])


def keep(db: sqlite3.Connection, name: str, value: str) -> None:
    """Keeps a value in place of the one before."""
    db.execute(
        "INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
        (name, value),
    )


def forget(db: sqlite3.Connection, name: str) -> None:
    """Leaves nothing under this name."""
    db.execute("DELETE FROM settings WHERE name = ?", (name,))
