"""From the schema of an older dialopt to this one's, a step at a time."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from dialopt.errors import LogbookDamaged, LogbookTooNew
from dialopt.logbook import error_translation
from dialopt.logbook.backup import dated_copy
from dialopt.logbook.schema import Step
from dialopt.logbook.store.recording import transaction


def migrate(db: sqlite3.Connection, path: Path, steps: Sequence[Step], now: datetime) -> Path | None:
    """Brings the logbook to schema `len(steps)`; returns the dated copy made before, None when there was nothing to do.

    Each step commits together with its own number (user_version), so that a process killed in between leaves a whole
    logbook of one schema or the next. Foreign keys must be off on `db`, as rebuilding a table needs; every step's
    result is checked instead. Raises LogbookTooNew, LogbookDamaged, sqlite3.Error, OSError.
    """
    if schema_of(db) < 1:
        raise error_translation.damaged(path, "its header lost the number of its schema")
    copy: Path | None = None
    while schema_of(db) < len(steps):
        with transaction(db, "IMMEDIATE"):
            schema = schema_of(db)  # read again under the lock: another process may have just taken this step
            if schema < len(steps):
                copy = copy or dated_copy(path, now)
                _run(db, steps, schema)
    if schema_of(db) > len(steps):
        raise LogbookTooNew(
            f"The logbook {path} was written by a newer dialopt (schema {schema_of(db)}, this one knows up to "
            f"{len(steps)}); update dialopt to use it."
        )
    return copy


def take_steps(db: sqlite3.Connection, steps: Sequence[Step]) -> None:
    """Brings a logbook that nobody else uses to schema `len(steps)`; foreign keys are on from then.

    Raises LogbookDamaged, sqlite3.Error.
    """
    db.execute("PRAGMA foreign_keys = OFF")
    while (schema := schema_of(db)) < len(steps):
        with transaction(db, "DEFERRED"):
            _run(db, steps, schema)
    db.execute("PRAGMA foreign_keys = ON")


def _run(db: sqlite3.Connection, steps: Sequence[Step], schema: int) -> None:
    """Takes the one step from `schema` to the next, number included, within the open transaction."""
    steps[schema](db)
    broken = db.execute("PRAGMA foreign_key_check").fetchone()
    if broken is not None:
        raise LogbookDamaged(
            f"The logbook can't be taken to schema {schema + 1}: a row of {broken[0]} refers to a row of {broken[2]} "
            "that is missing. Nothing was changed."
        )
    db.execute(f"PRAGMA user_version = {schema + 1}")


def schema_of(db: sqlite3.Connection) -> int:
    """The number of the schema that the file has now."""
    return int(db.execute("PRAGMA user_version").fetchone()[0])
