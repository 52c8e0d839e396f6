"""Files that are read and written whole or not at all."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from dialopt.errors import NotFound, Refused
from dialopt.logbook.half import half_for, tidy
from dialopt.logbook.store.words import printable


def write_whole(path: Path, data: bytes) -> None:
    """Puts the bytes there in one step: until then, and when it fails, what was there before stays. Raises Refused."""
    half = half_for(path.name, path.parent)
    try:
        with half.open("wb") as handle:
            handle.write(data)
            handle.flush()
            os.fsync(handle.fileno())
        tidy(path.name, half)
        half.replace(path)
    except OSError as error:
        raise Refused(
            f"{printable(path)} can't be written: {error.strerror or error}. Name a file in a folder you may write to."
        ) from error
    finally:
        with suppress(OSError):
            half.unlink(missing_ok=True)


def read_whole(path: Path, *, most_bytes: int, wanted: str) -> bytes:
    """What stands in the file. wanted: the kind of file to name instead. Raises NotFound without it, Refused."""
    if not path.exists():
        raise NotFound(f"There is no file {printable(path)}; name {wanted}.")
    if not path.is_file():
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


def refuse_taken(path: Path, *, replace: bool, example: str) -> None:
    """Refuses a folder, and a file that is there already unless it may be replaced. example: a file's name."""
    if path.is_dir():
        raise Refused(f"{printable(path)} is a folder; name a file in it, such as {printable(path / example)}.")
    if path.exists() and not (replace and path.is_file()):
        raise Refused(f"{printable(path)} exists already; name a new file, or ask for it to be replaced.")
