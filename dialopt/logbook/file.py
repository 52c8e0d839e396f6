"""The file: where it lives; made, opened, recognised, locked."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext
from datetime import datetime
from pathlib import Path

from dialopt.errors import LogbookError, WrongUse
from dialopt.logbook import error_translation
from dialopt.logbook.journal import journal_of
from dialopt.logbook.migrate import Step, migrate, run
from dialopt.logbook.schema import APPLICATION_ID, STEPS
from dialopt.logbook.store.recording import Recording
from dialopt.logbook.store.words import printable
from dialopt.logbook.whole_file import flush, flush_folder, place, temporary_for, tidy

NAME = "logbook.db"
VARIABLE = "DIALOPT_HOME"
_OLDEST_SQLITE = (3, 37, 0)  # the first with STRICT tables


def home_folder(given: Path | None, environ: Mapping[str, str]) -> Path:
    """The folder named on the command line, else the one in DIALOPT_HOME, else the platform's user data folder.

    Raises WrongUse for a name that no folder can have.
    """
    if given is not None:
        return _expanded(given)
    if environ.get(VARIABLE, "").strip():
        return _expanded(Path(environ[VARIABLE].strip()))
    # Asked last, and imported only then: most scripts and all tests name a folder.
    from platformdirs import user_data_path

    return user_data_path("dialopt", appauthor=False)


def opened(path: Path, *, now: Callable[[], datetime], wait_s: float, steps: Sequence[Step] = STEPS) -> Recording:
    """A connection to the logbook at `path`, which is made or migrated first where needed.

    Raises LogbookError, LogbookLocked, LogbookDamaged, LogbookTooNew.
    """
    if sqlite3.sqlite_version_info < _OLDEST_SQLITE:
        raise LogbookError(f"This Python comes with SQLite {sqlite3.sqlite_version}; the logbook needs 3.37 or newer.")
    with error_translation.translated(path):
        if not path.exists():
            _make(path, steps)
        if not path.is_file():
            raise error_translation.damaged(path, "something else than a file is in its place")
        if path.stat().st_size == 0:
            raise error_translation.damaged(path, "the file is empty")  # it never is: see _make
        db = sqlite3.connect(path, timeout=wait_s, isolation_level=None, factory=Recording)
        try:
            if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                raise error_translation.damaged(path, "it isn't a dialopt logbook")
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


def lay_out(path: Path, steps: Sequence[Step]) -> None:
    """Makes an empty logbook of schema `len(steps)` in a file that isn't there yet. Raises sqlite3.Error."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA journal_mode = OFF")
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute("BEGIN")
        for schema in range(len(steps)):
            run(db, steps, schema)
        db.execute("COMMIT")


def rollback_of(path: Path) -> Path:
    """Where SQLite keeps what it needs to take a transaction back that was cut short."""
    return path.with_name(path.name + "-journal")


def identity(path: Path) -> tuple[int, int]:
    """Tells the file at this path from any other that may come to stand there. Raises OSError."""
    status = path.stat()
    return status.st_dev, status.st_ino


def _make(path: Path, steps: Sequence[Step]) -> None:
    # Made under another name and then given its own, so that a logbook is whole from the first moment it is there: an
    # empty file can only be a damaged one, and of two processes that start together one makes it and both open it.
    journal = journal_of(path)
    if journal.is_file() and journal.stat().st_size and not path.exists():
        raise error_translation.damaged(path, "it is gone, and only its journal is there")
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    temporary = temporary_for(path.stem, path.parent)
    temporary.unlink(missing_ok=True)
    try:
        lay_out(temporary, steps)
        temporary.chmod(0o600)
        flush(temporary)
        tidy(path.stem, temporary)
        _disown_rollback(path)
        try:
            place(temporary, path)
        except FileExistsError:
            return
    finally:
        temporary.unlink(missing_ok=True)
    flush_folder(path.parent)


def _disown_rollback(path: Path) -> None:
    # Left by a logbook that was moved away. SQLite would take it for the new one's and write old pages into that.
    rollback = rollback_of(path)
    count = 1
    while rollback.exists() and not path.exists():
        aside = rollback.with_name(f"{rollback.name}-left-{count}")
        if not aside.exists():
            rollback.rename(aside)
        count += 1


def _expanded(folder: Path) -> Path:
    try:
        there = folder.expanduser()
        possible = b"\0" not in os.fsencode(there)
    except (RuntimeError, UnicodeEncodeError):  # ~somebody who has no home here, or half a character
        possible = False
    if not possible:
        raise WrongUse(f"{printable(folder)} can't be a folder; --home and {VARIABLE} take one that you may write to.")
    return there
