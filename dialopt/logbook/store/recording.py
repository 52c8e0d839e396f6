"""A connection that remembers what it wrote, for the journal; transactions; the settings, whose rows are replaced."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager, nullcontext
from datetime import datetime
from typing import Any

from dialopt.logbook.schema import KEYS
from dialopt.logbook.store.words import storable

Row = tuple[str, Mapping[str, Any]]
"""A table, and a row of it by column. A setting whose value is None was taken back."""


class Recording(sqlite3.Connection):
    """Every row is added through `insert`, every setting kept through `keep`.

    written: what was, since it was last emptied, in turn. at: when the transaction that writes it began.
    """

    at = datetime.min

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.written: list[Row] = []

    def insert(self, table: str, row: Mapping[str, Any]) -> int:
        """Adds a row; returns its number, which is of no meaning where the table's key isn't one.

        Raises BadValue for half a character, which no file can hold.
        """
        for column, value in row.items():
            storable(column, value)
        number = int(add(self, table, row).lastrowid or 0)
        self.written.append((table, {"id": number, **row} if KEYS[table] == ("id",) else row))
        return number


@contextmanager
def transaction(
    db: sqlite3.Connection, kind: str, around_commit: Callable[[], AbstractContextManager[None]] = nullcontext
) -> Iterator[None]:
    """All or nothing. IMMEDIATE takes the write lock at once, so that what was read first still holds at the end."""
    db.execute(f"BEGIN {kind}")
    try:
        yield
        with around_commit():
            db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise


def add(db: sqlite3.Connection, table: str, row: Mapping[str, Any]) -> sqlite3.Cursor:
    """Adds a row, and tells nobody. Raises sqlite3.IntegrityError for one that the table doesn't take."""
    marks = f"({', '.join(row)}) VALUES ({', '.join('?' * len(row))})" if row else "DEFAULT VALUES"
    return db.execute(f"INSERT INTO {table} {marks}", tuple(row.values()))


def rows(db: sqlite3.Connection, table: str) -> Iterator[dict[str, Any]]:
    """Every row of a table by column, in order of its key."""
    cursor = db.execute(f"SELECT * FROM {table} ORDER BY {', '.join(KEYS[table])}")
    names = [column[0] for column in cursor.description]
    return (dict(zip(names, row, strict=True)) for row in cursor)


def put(db: sqlite3.Connection, name: str, value: str | None) -> None:
    """Keeps a setting in place of the one before, None for no more; tells nobody."""
    if value is None:
        db.execute("DELETE FROM settings WHERE name = ?", (name,))
        return
    db.execute(
        "INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
        (name, value),
    )


def setting(db: sqlite3.Connection, name: str) -> str | None:
    """The value kept under this name, None when there is none."""
    row = db.execute("SELECT value FROM settings WHERE name = ?", (name,)).fetchone()
    return None if row is None else str(row[0])


def keep(db: Recording, name: str, value: str | None) -> None:
    """Keeps a setting, unless it is just that already; None leaves nothing under its name."""
    if setting(db, name) != value:
        put(db, name, value)
        db.written.append(("settings", {"name": name, "value": value}))
