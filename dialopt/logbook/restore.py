"""Brings the logbook back from its journal, or from a dated copy.

Nothing is overwritten: what was in the logbook's place is kept under a dated name first, and the new one takes its
place in one step. A kill at any moment leaves the old logbook or the new one there.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from dialopt.errors import LogbookDamaged, LogbookError, LogbookTooNew, Refused
from dialopt.logbook import backup, check, error_translation, file, journal
from dialopt.logbook.migrate import schema_of, take_steps
from dialopt.logbook.schema import APPLICATION_ID, STEPS
from dialopt.logbook.store.words import printable
from dialopt.logbook.whole_file import finish, flush_folder, place, placed, temporary_file


class NothingWrong(Refused):
    """The logbook is whole, and going back wasn't asked for."""


class CopyUnusable(Refused):
    """The copy or journal doesn't hold a whole logbook of a schema that is known here. why: in a few words."""

    def __init__(self, source: Path, why: str) -> None:
        self.why = why
        super().__init__(f"{printable(source.name)} can't be used: {why}. Nothing was changed; choose another.")


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """What is in the logbook's place. sound: nothing is wrong with it. why: what is; None when all is well."""

    there: bool
    sound: bool
    why: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What a logbook, a copy of one or a journal holds.

    operations: how much was ever done, which orders the copies of one logbook whatever the clock said. last_at: when
    something was done last. missing: how many lines of a journal can't be read. problem: why it can't be used, None
    when it can.
    """

    path: Path
    pairings: int = 0
    shots: int = 0
    operations: int = 0
    last_at: datetime | None = None
    missing: int = 0
    problem: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """The logbook as it is now. source: what it was made of. aside: where that went which was in its place, None when
    there was nothing. unfit: how many rows of the journal were left out, as they rest on lines that can't be read.
    """

    logbook: Held
    source: Path
    aside: Path | None
    unfit: int


def state_of(path: Path, *, now: Callable[[], datetime], wait_s: float) -> State:
    """Looks over all that is in the logbook's place. Raises LogbookLocked, LogbookError where it can't be read."""
    if not os.path.lexists(path):
        return State(there=False, sound=False, why=f"There is no logbook at {path}.")
    try:
        with error_translation.translated(path), closing(file.opened(path, now=now, wait_s=wait_s)) as db:
            found = check.findings(db) or check.against_journal(db, path)
    except LogbookTooNew as error:
        return State(there=True, sound=True, why=str(error))
    except LogbookDamaged as error:
        return State(there=True, sound=False, why=str(error))
    more = f" And {len(found) - 1} more findings." if len(found) > 1 else ""
    return State(there=True, sound=not found, why=f"The logbook {path} is damaged. {found[0]}{more}" if found else None)


def dated_copies(path: Path) -> list[Held]:
    """The copies beside the logbook, the fullest first, those that can't be used last. Raises LogbookError."""
    folder = path.parent / backup.FOLDER
    with error_translation.translated(path):
        files = sorted(folder.glob("[!.]*.*")) if folder.is_dir() else []
    copies = [held(one) for one in files if one.suffix in (".db", journal.SUFFIX)]
    return sorted(copies, key=lambda it: (it.problem is None, it.operations, it.path.name), reverse=True)


def held(path: Path) -> Held:
    """What the file holds; it is left as it is."""
    try:
        loaded = _loaded(path)
        with closing(loaded.db) as db, error_translation.translated(path):
            if db.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
                return Held(path=path, problem="it is damaged")
            return _counted(db, path, loaded.missing)
    except CopyUnusable as error:
        return Held(path=path, problem=error.why)
    except LogbookError:
        return Held(path=path, problem="it can't be read")


def restored(
    path: Path, source: Path, *, now: Callable[[], datetime], wait_s: float, replace: bool = False
) -> Restored:
    """Puts what a journal or a copy holds in the logbook's place. Of a link, the file that it leads to is replaced.

    replace: though nothing is wrong with the logbook there, which then becomes one more copy.
    Raises NothingWrong, CopyUnusable, LogbookLocked, LogbookError; then nothing was changed.
    """
    beside, path = path, Path(os.path.realpath(path))
    state = state_of(path, now=now, wait_s=wait_s)
    if state.sound and not replace:
        raise NothingWrong(state.why or f"The logbook {path} is whole, so nothing was restored.")
    with error_translation.translated(path), _alone(path, wait_s):
        loaded = _loaded(source)
        with closing(loaded.db) as db:
            _finish(loaded, source, carried_on=source == journal.journal_of(path))
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            with temporary_file(path.stem, path.parent) as temporary:
                with closing(sqlite3.connect(temporary)) as new:
                    new.execute("PRAGMA journal_mode = OFF")  # one that fails is thrown away
                    db.backup(new)
                finish(temporary, path.stem, like=path)
                aside = backup.dated_copy(beside, now()) if state.sound else _put_aside(path, now())
                file.rollback_of(path).unlink(missing_ok=True)
                if path.is_file():
                    temporary.replace(path)
                else:
                    place(temporary, path)
            flush_folder(path.parent)
            return Restored(logbook=_counted(db, path, loaded.missing), source=source, aside=aside, unfit=loaded.unfit)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Loaded:
    """A logbook in memory, as a copy or a journal holds it. found: the journal. unfit: rows of it that didn't fit."""

    db: sqlite3.Connection
    found: journal.Journal | None = None
    unfit: int = 0

    @property
    def missing(self) -> int:
        return self.found.missing if self.found else 0


def _loaded(source: Path) -> _Loaded:
    """Reads the source. Raises CopyUnusable, LogbookError."""
    db = sqlite3.connect(":memory:", isolation_level=None)
    try:
        with error_translation.translated(source):
            if source.suffix == journal.SUFFIX:
                found = journal.read(source)
                if not found.lines:
                    raise CopyUnusable(source, "it isn't a journal of dialopt, or nothing of it can be read")
                if max(line.schema for line in found.lines) > len(STEPS):
                    raise CopyUnusable(source, "it was written by a newer dialopt")
                db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                return _Loaded(db=db, found=found, unfit=journal.replay(db, found))
            with closing(backup.existing(source, "ro")) as copy:
                copy.backup(db)
            if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID or schema_of(db) < 1:
                raise CopyUnusable(source, "it isn't a dialopt logbook")
            if schema_of(db) > len(STEPS):
                raise CopyUnusable(source, "it was written by a newer dialopt")
            return _Loaded(db=db)
    except BaseException as error:
        db.close()
        if isinstance(error, LogbookDamaged):
            raise CopyUnusable(source, "it is damaged") from None
        raise


def _finish(loaded: _Loaded, source: Path, *, carried_on: bool) -> None:
    """Brings it to the schema of now, looks it over, and says whether it carries on the journal that it was made of."""
    db = loaded.db
    try:
        take_steps(db, STEPS)
        found = check.findings(db)
    except LogbookDamaged as error:
        found = [str(error)]
    if found:
        raise CopyUnusable(source, f"it isn't whole. {found[0].removesuffix('.')}")
    journal.stand(db, loaded.found if carried_on and not loaded.missing and not loaded.unfit else None)


def _counted(db: sqlite3.Connection, path: Path, missing: int) -> Held:
    pairings, shots, operations, last_at = db.execute(
        "SELECT (SELECT count(*) FROM pairings), (SELECT count(*) FROM (SELECT DISTINCT pairing_id, number FROM shots "
        "WHERE act_id NOT IN (SELECT act_id FROM undone))), count(*), (SELECT at FROM acts ORDER BY id DESC LIMIT 1) "
        "FROM acts"
    ).fetchone()
    with error_translation.reading_back():
        last = None if last_at is None else datetime.fromisoformat(last_at)
    return Held(path=path, pairings=pairings, shots=shots, operations=operations, last_at=last, missing=missing)


@contextmanager
def _alone(path: Path, wait_s: float) -> Iterator[None]:
    # Keeps others from logging into a file that is about to be set aside, where it can still be locked at all.
    if os.name != "posix" or not path.is_file():
        yield
        return
    with closing(sqlite3.connect(path, timeout=wait_s, isolation_level=None)) as db:
        try:
            db.execute("BEGIN IMMEDIATE")
        except error_translation.UNREADABLE as error:
            if (getattr(error, "sqlite_errorcode", 0) & 0xFF) in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
                raise
        yield


def _put_aside(path: Path, now: datetime) -> Path | None:
    """Gives what is there a second name, or another one where it can have only one."""
    if not os.path.lexists(path):
        return None
    aside = path.with_name(f"{path.stem}-damaged-{now:%Y-%m-%d-%H%M%S}")
    if not path.is_file():
        return path.rename(aside)
    aside = placed(path, aside.with_suffix(".db"))
    with suppress(FileNotFoundError):
        placed(file.rollback_of(path), file.rollback_of(aside))
    return aside
