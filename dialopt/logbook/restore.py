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

from dialopt.errors import LogbookDamaged, LogbookTooNew, Refused
from dialopt.logbook import backup, check, copies, file, trouble
from dialopt.logbook.copies import Held
from dialopt.logbook.half import is_left
from dialopt.logbook.rebuild import built, duplicate
from dialopt.logbook.salvage import Salvaged

_WORKPLACE = ".restore-"


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
    """The logbook as it is now. copy: what it was made of, None without one. aside: where the file went that was in its
    place, None when there was none.

    damaged: whether that file was. salvaged: what was read out of it; None where it was whole, can't be read, or isn't
    of the copy's later.
    """

    logbook: Held
    copy: Path | None
    aside: Path | None
    damaged: bool
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
    path: Path, chosen: Sequence[Path | None], *, now: Callable[[], datetime], wait_s: float, replace: bool = False
) -> Restored:
    """Puts a copy in the logbook's place: the first of those chosen that is whole.

    chosen: None among them stands for none, to build the logbook from the damaged file alone. Of a damaged logbook
    that is later than the copy, what can still be read is added. One with nothing wrong is only replaced when asked
    for, and then just by what the copy holds. Of a link to a logbook, the file that it leads to is replaced.
    Raises NothingWrong, CopyUnusable, Refused, LogbookLocked, LogbookError; then nothing was changed.
    """
    beside, path = path, Path(os.path.realpath(path)) if path.is_symlink() else path
    state = state_of(path, now=now, wait_s=wait_s)
    if state.sound and not replace:
        raise NothingWrong(state.why or f"The logbook {path} is whole, so nothing was restored.")
    with trouble.told(path), _workplace(path) as place:
        before = _stamp(path)
        new, copy, saved = built(path, chosen, place, add=state.there and not state.sound)
        stem = f"{path.stem}-damaged-{now():%Y-%m-%d-%H%M%S}"
        aside = backup.dated_copy(beside, now()) if state.sound else None
        as_it_is = None if state.sound else duplicate(path, place / "aside.db")
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
    return Restored(logbook=copies.held(path), copy=copy, aside=aside, damaged=as_it_is is not None, salvaged=saved)


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
        except trouble.UNREADABLE as error:
            if (getattr(error, "sqlite_errorcode", 0) & 0xFF) in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
                raise
        yield


def _stamp(path: Path) -> tuple[int, ...] | None:
    if not path.exists():
        return None
    status = path.stat()
    return status.st_ino, status.st_size, status.st_mtime_ns


def _put_aside(as_it_is: Path, folder: Path, stem: str) -> Path:
    aside = backup.placed(as_it_is, folder, stem)
    with suppress(FileNotFoundError):
        backup.place(file.journal_of(as_it_is), file.journal_of(aside))
    return aside
