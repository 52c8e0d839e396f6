"""Files that are read and written whole or not at all."""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path

from dialopt.errors import NotFound, Refused
from dialopt.logbook.half import half_for, tidy
from dialopt.logbook.store.words import printable


def write_whole(path: Path, data: bytes) -> None:
    """Puts the bytes there in one step: until then, and when it fails, what was there before stays. Raises Refused."""
    mode = _mode(path)
    if mode is not None and not stat.S_ISREG(mode):
        raise Refused(f"{printable(path)} isn't a file that can be replaced; name another.")
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
    if not replace:
        raise Refused(f"{printable(path)} exists already; name a new file, or ask for it to be replaced.")


def refuse_nowhere(path: Path) -> None:
    """Refuses a file in a folder that isn't there. Raises Refused."""
    mode = _mode(path.parent)
    if mode is None or not stat.S_ISDIR(mode):
        raise Refused(f"There is no folder {printable(path.parent)}; name a file in a folder that exists.")


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
