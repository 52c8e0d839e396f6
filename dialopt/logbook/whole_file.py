"""Files that are read and written whole or not at all.

What is being written is a temporary file: hidden beside its place until it is whole and on disk, then given its name in
one step. What a killed process leaves of them, a later one tidies up.
"""

from __future__ import annotations

import os
import re
import shutil
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path

from dialopt.errors import NotFound, Refused
from dialopt.logbook.schema import APPLICATION_ID
from dialopt.logbook.store.words import printable

_OLD_S = 3600.0
"""Older than another by so much, a temporary file isn't being written any more, s."""
_NAME_START = 40
"""Letters of a name that go into that of its temporary file: the whole of one that just fits would no longer do."""


def write_whole(path: Path, data: bytes) -> None:
    """Puts the bytes there in one step: until then, and when it fails, what was there before stays. Raises Refused."""
    mode = _mode(path)
    if mode is not None and not stat.S_ISREG(mode):
        raise Refused(f"{printable(path)} isn't a file that can be replaced; name another.")
    refuse_logbook(path)
    try:
        with temporary_file(path.name, path.parent) as temporary:
            temporary.write_bytes(data)
            flush(temporary)
            tidy(path.name, temporary)
            temporary.replace(path)
    except OSError as error:
        raise Refused(
            f"{printable(path)} can't be written: {error.strerror or error}. Name a file in a folder you may write to."
        ) from error


def read_whole(path: Path, *, most_bytes: int, wanted: str) -> bytes:
    """What stands in the file. wanted: the kind of file to name instead. Raises NotFound without it, Refused."""
    mode = _mode(path)
    if mode is None:
        raise NotFound(f"There is no file {printable(path)}; name {wanted}.")
    if not stat.S_ISREG(mode):
        raise Refused(f"{printable(path)} isn't a file; name {wanted}.")
    try:
        with path.open("rb") as handle:
            data = handle.read(most_bytes + 1)
    except OSError as error:
        raise Refused(
            f"{printable(path)} can't be read: {error.strerror or error}. Name a file that you may read."
        ) from error
    if len(data) > most_bytes:
        raise Refused(f"{printable(path)} is too large; up to {most_bytes // 1_000_000} MB are read.")
    return data


def stands(path: Path) -> bool:
    """Whether a file is there."""
    with suppress(Refused):
        return stat.S_ISREG(_mode(path) or 0)
    return False


def refuse_taken(path: Path, *, replace: bool, example: str) -> None:
    """Refuses a name that no file can have, whatever is there and no file, and a file that may not be replaced.

    example: a file's name. Raises Refused.
    """
    mode = _mode(path)
    if mode is None:
        return
    if stat.S_ISDIR(mode):
        raise Refused(f"{printable(path)} is a folder; name a file in it, such as {printable(path / example)}.")
    if not stat.S_ISREG(mode):
        raise Refused(f"{printable(path)} is a device or the like; name a file, such as {example}.")
    refuse_logbook(path)
    if not replace:
        raise Refused(f"{printable(path)} exists already; name a new file, or ask for it to be replaced.")


def refuse_logbook(path: Path) -> None:
    """Refuses to replace a logbook, a copy of one or what stands beside it, by any name or link. Raises Refused."""
    if _of_logbook(path):
        raise Refused(f"{printable(path)} belongs to a logbook, which nothing may replace; name another file.")


def _of_logbook(path: Path) -> bool:
    """Whether a file holds a logbook or a journal, by its first bytes, or stands beside one under its name."""
    try:
        there = path.resolve(strict=True)
        with there.open("rb") as handle:
            head = handle.read(100)
    except (OSError, RuntimeError):
        return False
    if head.startswith(b"SQLite format 3\0"):
        return int.from_bytes(head[68:72], "big") == APPLICATION_ID
    beside = re.fullmatch(r"(?i)(.+)-(?:wal|shm|journal)", there.name)
    return head.startswith(b'{"line":') or (beside is not None and _of_logbook(there.with_name(beside[1])))


def refuse_nowhere(path: Path) -> None:
    """Refuses a file in a folder that isn't there. Raises Refused."""
    mode = _mode(path.parent)
    if mode is None or not stat.S_ISDIR(mode):
        raise Refused(f"There is no folder {printable(path.parent)}; name a file in a folder that exists.")


@contextmanager
def temporary_file(stem: str, folder: Path) -> Iterator[Path]:
    """A hidden name in the folder that no other process uses; what still stands there at the end is removed.

    stem: what the whole file goes by.
    """
    temporary = folder / f".{stem[:_NAME_START]}-{os.getpid()}.tmp"
    try:
        temporary.unlink(missing_ok=True)
        yield temporary
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)


def finish(temporary: Path, stem: str, like: Path) -> None:
    """Waits until a temporary file is on disk, and tidies up what others left.

    It gets the rights of the file at `like`; where none is there, its owner alone may read and write it.
    """
    if like.is_file():
        shutil.copymode(like, temporary)
    else:
        temporary.chmod(0o600)
    flush(temporary)
    tidy(stem, temporary)


def tidy(stem: str, temporary: Path) -> None:
    """Removes temporary files of that stem that were left beside this one, which was just written.

    Their age is told by the file system's own times, so that a clock that was set back can't make what is new look old.
    """
    named = re.compile(rf"\.{re.escape(stem[:_NAME_START])}-[0-9-]+\.tmp")
    with suppress(OSError):
        written = temporary.stat().st_mtime
        for other in temporary.parent.iterdir():
            with suppress(OSError):
                if named.fullmatch(other.name) and other.stat().st_mtime < written - _OLD_S:
                    other.unlink()


def place(temporary: Path, final: Path) -> None:
    """Gives a finished file its name. Raises FileExistsError rather than replace another file."""
    try:
        os.link(temporary, final)
    except FileExistsError:
        raise
    except OSError:
        # A file system without hard links: the check and the renaming are two steps there.
        if final.exists():
            raise FileExistsError(final) from None
        temporary.rename(final)


def placed(temporary: Path, final: Path) -> Path:
    """Gives a finished file the first free of the names STEM.db, STEM-2.db … and returns it.

    Two copies within a second, or a clock that was set back, must not cost the older copy.
    """
    free = final
    for turn in count(2):
        with suppress(FileExistsError):
            place(temporary, free)
            break
        free = final.with_name(f"{final.stem}-{turn}{final.suffix}")
    return free


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


def _mode(path: Path) -> int | None:
    """What is there, as `stat` has it; None for nothing. Raises Refused for a name that no file can have."""
    try:
        return path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as error:
        why = error.strerror or str(error)
    except ValueError:
        why = "it holds a character that no file's name can"
    raise Refused(f"{printable(path)} can't be a file: {why}. Name another, in a folder that you may use.")
