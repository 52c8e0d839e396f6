"""A word to whoever is waiting."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def working(on: str) -> Iterator[Callable[[str], None]]:
    """Shows on a terminal's standard error what takes a moment, and wipes it at the end; plain blanks do.

    What it hands out adds how far the work has come.
    """
    if sys.stderr is None or not sys.stderr.isatty():
        yield lambda far: None
        return
    widest = 0

    def show(line: str) -> None:
        nonlocal widest
        sys.stderr.write("\r" + line.ljust(widest))
        sys.stderr.flush()
        widest = max(widest, len(line))

    show(f"{on} …")
    try:
        yield lambda far: show(f"{on}: {far} …")
    finally:
        show("")
        sys.stderr.write("\r")
        sys.stderr.flush()
