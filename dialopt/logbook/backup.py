"""Dated copies of the logbook."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from dialopt.errors import LogbookError
from dialopt.logbook import trouble
from dialopt.logbook.half import half_for, tidy

FOLDER = "backups"


def dated_copy(path: Path, now: datetime) -> Path:
    """Copies the logbook into the backups folder beside it and returns where, e.g. logbook-2031-04-09-071500.db there.

    The copy is whole even while another process writes, is on disk when this returns, and never replaces another.
    Raises LogbookDamaged rather than copy what isn't whole, LogbookError, OSError or sqlite3.Error; then there is no
    half copy.
    """
    folder = path.parent / FOLDER
    try:
        folder.mkdir(exist_ok=True)
    except FileExistsError:
        raise LogbookError(f"{folder} is in the way: dated copies go into a folder of that name. Move it.") from None
    half = half_for(path.stem, folder)
    half.unlink(missing_ok=True)
    try:
        with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(half)) as target:
            target.execute("PRAGMA journal_mode = OFF")  # a half file that fails is thrown away
            source.backup(target)
            (found,) = target.execute("PRAGMA integrity_check(1)").fetchone()
            if found != "ok":
                raise trouble.damaged(path, " ".join(found.split()))  # such a copy would be no way back
        flush(half)
        tidy(path.stem, half)
        final = placed(half, folder, f"{path.stem}-{now:%Y-%m-%d-%H%M%S}")
    finally:
        half.unlink(missing_ok=True)
    flush_folder(folder)
    return final


def flush(path: Path) -> None:
    """Waits until a file's content is on disk."""
    with path.open("r+b") as handle:
        os.fsync(handle.fileno())


def flush_folder(folder: Path) -> None:
    """Waits until a folder's list of names is on disk, where the platform can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def place(half: Path, final: Path) -> None:
    """Gives a finished file its name. Raises FileExistsError rather than replace another file."""
    try:
        os.link(half, final)
    except FileExistsError:
        raise
    except OSError:
        # A file system without hard links: the check and the renaming are two steps there.
        if final.exists():
            raise FileExistsError(final) from None
        half.rename(final)


def placed(half: Path, folder: Path, stem: str) -> Path:
    """Gives a finished file the first free of the names STEM.db, STEM-2.db … in the folder, and returns it."""
    # Two copies within a second, or a clock that was set back, must not cost the older copy.
    count = 1
    while True:
        final = folder / (f"{stem}.db" if count == 1 else f"{stem}-{count}.db")
        try:
            place(half, final)
        except FileExistsError:
            count += 1
        else:
            return final
