"""Brings a dated copy of the logbook back, and with it what the damaged file still yields.

Nothing is overwritten: the file that was in the logbook's place is kept aside under a dated name first, and the new one
takes its place in one step. A kill at any moment leaves the old logbook or the new one there.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from dialopt.errors import LogbookDamaged, LogbookTooNew, NotFound, Refused
from dialopt.logbook import backup, check, copies, file, trouble
from dialopt.logbook.copies import Held
from dialopt.logbook.half import is_left
from dialopt.logbook.migrate import Step, run, schema_of
from dialopt.logbook.salvage import Salvaged, salvage
from dialopt.logbook.schema import APPLICATION_ID, STEPS

_WORKPLACE = ".restore-"
_PAGE = 4096
"""Size of a page, bytes, in every logbook."""


class NothingWrong(Refused):
    """The logbook is whole, and going back wasn't asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """What is in the logbook's place. sound: nothing is wrong with it. why: what is; None when all is well."""

    there: bool
    sound: bool
    why: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """The logbook as it is now. aside: where the file went that was in its place, None without one.

    salvaged: what was read out of that file; None where it was whole, can't be read, or isn't of the copy's later.
    """

    logbook: Held
    aside: Path | None
    salvaged: Salvaged | None


def state_of(path: Path, *, now: Callable[[], datetime], wait_s: float) -> State:
    """Looks over all that is in the logbook's place. Raises LogbookLocked, LogbookError where it can't be read."""
    if not os.path.lexists(path):
        return State(there=False, sound=False, why=f"There is no logbook at {path}.")
    try:
        with trouble.told(path), closing(file.opened(path, now=now, wait_s=wait_s)) as db:
            found = check.findings(db)
    except LogbookTooNew as error:
        return State(there=True, sound=True, why=str(error))
    except LogbookDamaged as error:
        return State(there=True, sound=False, why=str(error))
    more = f" And {len(found) - 1} more findings." if len(found) > 1 else ""
    return State(there=True, sound=not found, why=f"The logbook {path} is damaged. {found[0]}{more}" if found else None)


def restored(
    path: Path, copy: Path | None, *, now: Callable[[], datetime], wait_s: float, replace: bool = False
) -> Restored:
    """Puts the copy in the logbook's place. copy: None to build it from the damaged file alone.

    Of a damaged logbook that is later than the copy, what can still be read is added. One with nothing wrong is only
    replaced when asked for, and then just by what the copy holds.
    Raises NotFound, Refused, LogbookLocked, LogbookError; then nothing was changed.
    """
    state = state_of(path, now=now, wait_s=wait_s)
    if state.sound and not replace:
        raise NothingWrong(state.why or f"The logbook {path} is whole, so nothing was restored.")
    if copy is not None and not copy.is_file():
        raise NotFound(f"There is no copy {copy}.")
    with trouble.told(path), _workplace(path) as place:
        before = _stamp(path)
        damaged = _duplicate(path, place / "damaged.db") if state.there and not state.sound else None
        new = place / "new.db"
        saved = _built(new, copy, damaged)
        stem = f"{path.stem}-damaged-{now():%Y-%m-%d-%H%M%S}"
        aside = backup.dated_copy(path, now()) if state.sound else None
        as_it_is = None if state.sound else _duplicate(path, place / "aside.db")
        with _alone(path, wait_s):
            # From here on no file of the logbook is opened and closed: that would let go of the lock.
            if _stamp(path) != before:
                raise trouble.in_use(path)
            if as_it_is is not None:
                aside = _put_aside(as_it_is, path.parent, stem)
            elif os.path.lexists(path) and not path.is_file():
                aside = path.rename(path.with_name(stem))
            file.journal_of(path).unlink(missing_ok=True)
            if path.is_file():
                new.replace(path)
            else:
                backup.place(new, path)
        backup.flush_folder(path.parent)
    return Restored(logbook=copies.held(path), aside=aside, salvaged=saved)


def _built(new: Path, copy: Path | None, damaged: Path | None) -> Salvaged | None:
    # The new logbook, whole and on disk.
    source = None if damaged is None else _readable(damaged, copy)
    try:
        if copy is not None:
            shutil.copyfile(copy, new)
        elif source is not None:
            file.lay_out(new, STEPS[: schema_of(source)])
        else:
            raise Refused("Nothing can be read from the damaged file; it takes a dated copy to restore the logbook.")
        saved = None
        with closing(sqlite3.connect(new, isolation_level=None)) as db:
            named = "what was read" if copy is None else copy.name
            try:
                if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID or schema_of(db) < 1:
                    raise Refused(f"{named} isn't a dialopt logbook; nothing was changed.")
                if schema_of(db) > len(STEPS):
                    raise Refused(f"{named} was written by a newer dialopt; nothing was changed. Update dialopt first.")
                # The two have the same tables once the copy was taken to the schema of the damaged one.
                if source is not None and schema_of(db) <= schema_of(source):
                    _migrated(db, STEPS[: schema_of(source)])
                    db.execute("PRAGMA foreign_keys = ON")
                    with file.transaction(db, "IMMEDIATE"):
                        saved = salvage(source, db)
                    db.execute("PRAGMA foreign_keys = OFF")
                _migrated(db, STEPS)
                found = check.findings(db)
            except LogbookDamaged as error:
                found = [str(error)]
            except sqlite3.DatabaseError as error:
                if isinstance(error, sqlite3.OperationalError):
                    raise  # a full disk says nothing about the copy
                found = [f"{error}."]
            if found:
                raise Refused(f"{named} isn't whole, so nothing was changed. {found[0]} Choose another copy.")
        backup.flush(new)
        return saved
    finally:
        if source is not None:
            source.close()


def _migrated(db: sqlite3.Connection, steps: Sequence[Step]) -> None:
    while (schema := schema_of(db)) < len(steps):
        with file.transaction(db, "IMMEDIATE"):
            run(db, steps, schema)


def _readable(damaged: Path, copy: Path | None) -> sqlite3.Connection | None:
    """A connection to a duplicate of the damaged file, if it can still be told for a logbook of a known schema.

    Where its first page is beyond reading, the copy's is tried: it only says where each table begins, and tables never
    move within one schema. What is read by it has to stand up as rows of that table like any other.
    """
    for first_page in (None, copy):
        if first_page is not None and damaged.stat().st_size > _PAGE:
            with damaged.open("r+b") as to, first_page.open("rb") as source:
                page = bytearray(source.read(_PAGE))
                page[92:96] = bytes(4)  # makes SQLite take the number of pages from the file's size
                to.write(page)
        db = sqlite3.connect(damaged, isolation_level=None)
        with suppress(sqlite3.Error):
            mine = db.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
            if (
                mine
                and 1 <= schema_of(db) <= len(STEPS)
                and db.execute("SELECT count(*) FROM sqlite_schema").fetchone()
            ):
                return db
        db.close()
    return None


@contextmanager
def _workplace(path: Path) -> Iterator[Path]:
    # Beside the logbook, so that what is made there can take its place in one step. One that a kill left is removed.
    path.parent.mkdir(parents=True, exist_ok=True)
    place = Path(tempfile.mkdtemp(prefix=_WORKPLACE, dir=path.parent))
    for left in path.parent.glob(f"{_WORKPLACE}*"):
        if is_left(left, place):
            shutil.rmtree(left, ignore_errors=True)
    try:
        yield place
    finally:
        shutil.rmtree(place, ignore_errors=True)


@contextmanager
def _alone(path: Path, wait_s: float) -> Iterator[None]:
    # Keeps others from logging into a file that is about to be set aside, where it can still be locked at all.
    if os.name != "posix" or not path.is_file():
        yield
        return
    with closing(sqlite3.connect(path, timeout=wait_s, isolation_level=None)) as db:
        try:
            db.execute("BEGIN EXCLUSIVE")
        except sqlite3.Error as error:
            if (getattr(error, "sqlite_errorcode", 0) & 0xFF) in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
                raise
        yield


def _stamp(path: Path) -> tuple[int, ...] | None:
    if not path.exists():
        return None
    status = path.stat()
    return status.st_ino, status.st_size, status.st_mtime_ns


def _duplicate(path: Path, to: Path) -> Path | None:
    # With its journal: what was cut short is taken back in the duplicate, when that is read.
    if not path.is_file():
        return None
    shutil.copyfile(path, to)
    with suppress(FileNotFoundError):
        shutil.copyfile(file.journal_of(path), file.journal_of(to))
    backup.flush(to)
    return to


def _put_aside(as_it_is: Path, folder: Path, stem: str) -> Path:
    aside = backup.placed(as_it_is, folder, stem)
    with suppress(FileNotFoundError):
        backup.place(file.journal_of(as_it_is), file.journal_of(aside))
    return aside
