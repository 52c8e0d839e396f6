"""The file: where it lives; made, opened, recognised, locked."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from datetime import datetime
from pathlib import Path

from dialopt.errors import LogbookError, WrongUse
from dialopt.logbook import error_translation
from dialopt.logbook.journal import journal_of
from dialopt.logbook.migrate import migrate, take_steps
from dialopt.logbook.schema import APPLICATION_ID, STEPS, Step
from dialopt.logbook.store.recording import Recording
from dialopt.logbook.store.words import printable
from dialopt.logbook.whole_file import finish, flush_folder, place, temporary_file

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


def lay_out(path: Path, steps: Sequence[Step]) -> None:
    """Makes an empty logbook of schema `len(steps)` in a file that isn't there yet. Raises sqlite3.Error."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        for pragma in ("journal_mode = OFF", "synchronous = OFF", f"application_id = {APPLICATION_ID}"):
            db.execute(f"PRAGMA {pragma}")
        take_steps(db, steps)


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
    with temporary_file(path.stem, path.parent) as temporary:
        lay_out(temporary, steps)
        finish(temporary, path.stem, like=path)
        _disown_rollback(path)
        try:
            place(temporary, path)
        except FileExistsError:
            return
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
