"""What every command works at: where the logbook is, the clock, the terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TextIO

from dialopt.logbook.book import Logbook
from dialopt.logbook.file import home_folder
from dialopt.shell.answer import clean


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """The surroundings of one command. home: the folder named by --home, if any."""

    json: bool
    environ: Mapping[str, str]
    now: Callable[[], datetime]
    home: Path | None = None

    def book(self) -> Logbook:
        """The logbook, opened."""
        return Logbook.open(home_folder(self.home, self.environ), now=self.now)

    @property
    def talk(self) -> TextIO | None:
        """Where a conversation goes: standard output, which --json keeps for its one object. None when it is closed."""
        return sys.stderr if self.json else sys.stdout

    @property
    def on_terminal(self) -> bool:
        """Whether somebody is there to be asked."""
        return all(stream is not None and stream.isatty() for stream in (sys.stdin, self.talk))

    def say(self, *lines: str, end: str = "\n") -> None:
        """Lines of a conversation, on screen when this returns."""
        if self.talk is not None:
            self.talk.write("".join(clean(line) + end for line in lines))
            self.talk.flush()


def kitchen_clock() -> datetime:
    """Local time to the second, as the clock on the wall tells it."""
    return datetime.now().replace(microsecond=0)
