"""Dated copies of the logbook: one a day made unasked and thinned out as they age, others when asked for."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing, suppress
from datetime import date, datetime
from pathlib import Path

from dialopt.errors import LogbookDamaged, LogbookError
from dialopt.logbook import error_translation
from dialopt.logbook.whole_file import finish, flush_folder, placed, temporary_file

FOLDER = "backups"
_KEPT: tuple[tuple[int, Callable[[date], object]], ...] = (
    (7, lambda day: day),
    (4, lambda day: day.isocalendar()[:2]),
    (12, lambda day: (day.year, day.month)),
)
"""How many of a kind are kept: days, then the last copy of each week, then of each month."""


def dated_copy(path: Path, now: datetime) -> Path:
    """Copies the logbook into the backups folder beside it and returns where, e.g. logbook-2031-04-09-071500.db there.

    The copy is whole even while another process writes, is on disk when this returns, and never replaces another.
    Raises LogbookDamaged rather than copy what isn't whole, LogbookError, OSError or sqlite3.Error; then no part of
    one is left.
    """
    return _copied(path, f"{path.stem}-{now:%Y-%m-%d-%H%M%S}.db")


def daily_copy(path: Path, now: datetime) -> None:
    """Makes the copy of the day, e.g. logbook-2031-04-09.db, unless it is there, and thins out those of earlier days.

    Raises LogbookDamaged. What else may stand in its way is no reason not to write into the logbook.
    """
    name = f"{path.stem}-{now:%Y-%m-%d}.db"
    if (path.parent / FOLDER / name).exists():
        return
    try:
        with error_translation.translated(path):
            _copied(path, name)
            thin(path, now.date())
    except LogbookDamaged:
        raise
    except LogbookError:
        pass


def thin(path: Path, today: date) -> None:
    """Removes the copies of days that aren't worth keeping; those that a person asked for stay. Raises OSError."""
    copies = {one: day for one in (path.parent / FOLDER).iterdir() if (day := _day_of(one, path.stem))}
    kept = worth_keeping(copies.values()) | {today}
    for copy in (one for one, day in copies.items() if day not in kept):
        copy.unlink(missing_ok=True)


def worth_keeping(days: Iterable[date]) -> set[date]:
    """The last seven days with a copy, the last one of each of four weeks, and of each of twelve months."""
    kept = set[date]()
    for many, group in _KEPT:
        latest = {group(day): day for day in sorted(days)}
        kept |= set(sorted(latest.values())[-many:])
    return kept


def copies_folder(path: Path) -> Path:
    """The folder for copies beside the logbook, made where there is none. Raises LogbookError, OSError."""
    folder = path.parent / FOLDER
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except FileExistsError:
        raise LogbookError(f"{folder} is in the way: dated copies go into a folder of that name. Move it.") from None
    return folder


def _copied(path: Path, name: str) -> Path:
    folder = copies_folder(path)
    with temporary_file(path.stem, folder) as temporary:
        with closing(existing(path)) as source, closing(sqlite3.connect(temporary)) as target:
            target.execute("PRAGMA journal_mode = OFF")  # a copy that fails is thrown away
            source.backup(target)
            (found,) = target.execute("PRAGMA integrity_check(1)").fetchone()
            if found != "ok":
                raise error_translation.damaged(path, " ".join(found.split()))  # such a copy would be no way back
        finish(temporary, path.stem, like=path)
        final = placed(temporary, folder / name)
    flush_folder(folder)
    return final


def _day_of(copy: Path, stem: str) -> date | None:
    """The day whose copy this is; None for any other file. Of two processes that make it at once, one adds a number."""
    found = re.fullmatch(rf"{re.escape(stem)}-(\d{{4}}-\d\d-\d\d)(-\d)?\.db", copy.name)
    with suppress(ValueError):
        return date.fromisoformat(found[1]) if found else None
    return None


def existing(path: Path, mode: str = "rw") -> sqlite3.Connection:
    """A connection to a file that is there; "ro" changes nothing, not even to take back what was cut short."""
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode={mode}", uri=True, isolation_level=None)
