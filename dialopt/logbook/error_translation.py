"""SQLite's complaints as sentences for a person."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from dialopt.errors import BadValue, LogbookDamaged, LogbookError, LogbookLocked

UNREADABLE = (sqlite3.Error, UnicodeDecodeError)
"""What reading a damaged file raises: sqlite3 lets the second through where a name or a message is no text any more."""
_NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO)


@contextmanager
def translated(path: Path) -> Iterator[None]:
    """Turns what SQLite or the file system raises inside into LogbookError and its kind."""
    try:
        yield
    except sqlite3.IntegrityError:
        raise  # a fault of the program: the person can't help it
    except sqlite3.Error as error:
        raise _translated(error, path) from error
    except UnicodeDecodeError as error:
        raise damaged(path, "some of its text isn't text any more") from error
    except OSError as error:
        if error.errno in _NO_ROOM:
            raise _no_room(path, error.strerror) from error
        raise LogbookError(
            f"The logbook {path} can't be used: {error.strerror or error}. It needs a folder that you may read and "
            "write to; --home or DIALOPT_HOME names another."
        ) from error


@contextmanager
def reading_back() -> Iterator[None]:
    """What was valid when it was written and isn't when read back means a damaged file, whatever SQLite thinks."""
    try:
        yield
    except (BadValue, ValueError, KeyError, TypeError, IndexError) as error:
        raise LogbookDamaged(f"The logbook holds something that it never wrote: {error}") from error


def damaged(path: Path, why: str) -> LogbookDamaged:
    """The error for a file that isn't a whole logbook."""
    return LogbookDamaged(f"The logbook {path} can't be read: {why}.")


def _no_room(path: Path, why: object) -> LogbookError:
    return LogbookError(
        f"The logbook {path} can't be read or written ({why}): the disk may be full or failing. "
        "Nothing was changed. Make room and try again."
    )


def _translated(error: sqlite3.Error, path: Path) -> LogbookError:
    # The low byte is the kind, the rest the finer shade. Errors raised by the Python module itself carry no code.
    code = getattr(error, "sqlite_errorcode", None)
    kind = None if code is None else code & 0xFF
    if kind in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return LogbookLocked(
            f"Another process is using the logbook {path}; nothing was changed. Wait a moment and try again."
        )
    if kind in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM):
        return LogbookError(
            f"The logbook {path} can't be written to; nothing was changed. It needs a file and a folder that you may "
            "write to; --home or DIALOPT_HOME names another folder."
        )
    if kind == sqlite3.SQLITE_CANTOPEN:
        return LogbookError(f"The logbook {path} can't be opened; it needs a file and a folder that you may write to.")
    if kind in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
        return _no_room(path, error)
    if kind in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB) or (code is None and "decode" in str(error)):
        return damaged(path, str(error))
    if kind == sqlite3.SQLITE_ERROR and "user-defined function" in str(error):
        return damaged(path, "something in it isn't what was written")  # what is lent to SQLite can't read it
    if kind == sqlite3.SQLITE_ERROR and any(said in str(error) for said in ("no such", "has no column")):
        return damaged(path, str(error))
    return LogbookError(f"The logbook {path} can't be used: {error}.")
