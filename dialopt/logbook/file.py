"""The file: made, opened, recognised, locked."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path

from dialopt.errors import LogbookError
from dialopt.logbook import backup, trouble
from dialopt.logbook.half import half_for, tidy
from dialopt.logbook.migrate import Step, migrate, run
from dialopt.logbook.schema import APPLICATION_ID, STEPS

NAME = "logbook.db"
_OLDEST_SQLITE = (3, 37, 0)  # the first with STRICT tables


def opened(
    path: Path, *, now: Callable[[], datetime], wait_s: float, steps: Sequence[Step] = STEPS
) -> sqlite3.Connection:
    """A connection to the logbook at `path`, which is made or migrated first where needed.

    Raises LogbookError, LogbookLocked, LogbookDamaged, LogbookTooNew.
    """
    if sqlite3.sqlite_version_info < _OLDEST_SQLITE:
        raise LogbookError(f"This Python comes with SQLite {sqlite3.sqlite_version}; the logbook needs 3.37 or newer.")
    with trouble.told(path):
        if not path.exists():
            _make(path, steps)
        if not path.is_file():
            raise trouble.damaged(path, "something else than a file is in its place")
        if path.stat().st_size == 0:
            raise trouble.damaged(path, "the file is empty")  # it never is: see _make
        db = sqlite3.connect(path, timeout=wait_s, isolation_level=None)
        try:
            if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                raise trouble.damaged(path, "it isn't a dialopt logbook")
            # A schema that can't run anything, and pages that are looked at before they are trusted.
            for pragma in (
                "journal_mode = DELETE",
                "synchronous = FULL",
                "trusted_schema = OFF",
                "cell_size_check = ON",
            ):
                db.execute(f"PRAGMA {pragma}")
            migrate(db, path, steps, now())
            db.execute("PRAGMA foreign_keys = ON")
            db.execute("SELECT count(*) FROM sqlite_schema").fetchone()
        except BaseException:
            db.close()
            raise
        return db


@contextmanager
def transaction(db: sqlite3.Connection, kind: str) -> Iterator[None]:
    """All or nothing. IMMEDIATE takes the write lock at once, so that what was read first still holds at the end."""
    db.execute(f"BEGIN {kind}")
    try:
        yield
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise


def lay_out(path: Path, steps: Sequence[Step]) -> None:
    """Makes an empty logbook of schema `len(steps)` in a file that isn't there yet. Raises sqlite3.Error."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA journal_mode = OFF")
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute("BEGIN")
        for schema in range(len(steps)):
            run(db, steps, schema)
        db.execute("COMMIT")


def journal_of(path: Path) -> Path:
    """Where SQLite keeps what it needs to take a transaction back that was cut short."""
    return path.with_name(path.name + "-journal")


def identity(path: Path) -> tuple[int, int]:
    """Tells the file at this path from any other that may come to stand there. Raises OSError."""
    status = path.stat()
    return status.st_dev, status.st_ino


def _make(path: Path, steps: Sequence[Step]) -> None:
    # Made under another name and then given its own, so that a logbook is whole from the first moment it is there: an
    # empty file can only be a damaged one, and of two processes that start together one makes it and both open it.
    path.parent.mkdir(parents=True, exist_ok=True)
    half = half_for(path.stem, path.parent)
    half.unlink(missing_ok=True)
    try:
        lay_out(half, steps)
        backup.flush(half)
        tidy(path.stem, half)
        _disown_journal(path)
        try:
            backup.place(half, path)
        except FileExistsError:
            return
    finally:
        half.unlink(missing_ok=True)
    backup.flush_folder(path.parent)


def _disown_journal(path: Path) -> None:
    # Left by a logbook that was moved away. SQLite would take it for the new one's and write old pages into that.
    journal = journal_of(path)
    count = 1
    while journal.exists() and not path.exists():
        aside = journal.with_name(f"{journal.name}-left-{count}")
        if not aside.exists():
            journal.rename(aside)
        count += 1
