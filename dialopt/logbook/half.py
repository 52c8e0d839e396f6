"""Half files: hidden beside their place until they are whole. What a killed process leaves, a later one tidies up."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from pathlib import Path

_OLD_S = 3600.0
"""Older than another by so much, a half file isn't being written any more, s."""
_NAME_START = 40
"""Letters of a name that go into that of its half file: the whole of one that just fits would no longer do."""


def half_for(stem: str, folder: Path) -> Path:
    """A hidden name in the folder that no other process uses. stem: what the whole file goes by."""
    return folder / f".{stem[:_NAME_START]}-{os.getpid()}.half"


def tidy(stem: str, half: Path) -> None:
    """Removes half files of that stem that were left beside `half`, which was just written."""
    named = re.compile(rf"\.{re.escape(stem[:_NAME_START])}-[0-9-]+\.half")
    with suppress(OSError):
        for other in half.parent.iterdir():
            if named.fullmatch(other.name) and is_left(other, half):
                with suppress(OSError):
                    other.unlink()


def is_left(other: Path, new: Path) -> bool:
    """Whether nobody is at work any more on one thing that stands beside another, which was just made.

    Told by the file system's own times, so that a clock that was set back can't make what is new look old.
    """
    with suppress(OSError):
        return other.stat().st_mtime < new.stat().st_mtime - _OLD_S
    return False
