"""The transactions that all reading and writing of the logbook runs in, one to a method."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import wraps
from pathlib import Path
from typing import Concatenate, ParamSpec, TypeVar

from dialopt.errors import LogbookError
from dialopt.logbook import backup, check, error_translation, file, journal
from dialopt.logbook.store.recording import Recording, transaction

P = ParamSpec("P")
R = TypeVar("R")


class Transactions:
    """An open logbook. What can be asked of it, or done to it, is a function of its connection and stands in `store`;
    `reading` and `writing` make a method of it.
    """

    def __init__(self, path: Path, connection: Recording, now: Callable[[], datetime]) -> None:
        self.path = path
        self._identity = file.identity(path)
        self._db = connection
        self._now = now
        self._copied = False

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        with error_translation.translated(self.path), transaction(self._db, "DEFERRED"):
            yield self._db

    @contextmanager
    def _writing(self) -> Iterator[Recording]:
        db = self._db
        with error_translation.translated(self.path):
            self._copy_of_the_day()
            try:
                with transaction(db, "IMMEDIATE"):
                    self._refuse_moved()
                    if not journal.follows(db, self.path):
                        journal.begin(db, self.path, self._now)
                db.written.clear()
                with transaction(db, "IMMEDIATE", around_commit=lambda: journal.noted(db, self.path)):
                    self._refuse_moved()
                    db.at = self._now()
                    yield db
            except sqlite3.IntegrityError:
                # A damaged file can seem to hold what it doesn't; in a whole one it is a fault of the program.
                if found := check.findings(db):
                    raise error_translation.damaged(self.path, found[0].removesuffix(".")) from None
                raise

    def _copy_of_the_day(self) -> None:
        if not self._copied and self._db.execute("SELECT 1 FROM acts LIMIT 1").fetchone():
            backup.daily_copy(self.path, self._now())
            self._copied = True

    def _refuse_moved(self) -> None:
        try:
            in_place = file.identity(self.path) == self._identity
        except OSError:
            in_place = False
        if not in_place:
            # Nothing is logged into a file that nobody reads.
            raise LogbookError(
                f"The logbook {self.path} was moved or replaced while it was open; nothing was changed. Start again to "
                "use the one that is there now."
            )


def reading(ask: Callable[Concatenate[sqlite3.Connection, P], R]) -> Callable[Concatenate[Transactions, P], R]:
    """A method that asks this of the logbook, all at one moment."""

    @wraps(ask)
    def method(self: Transactions, /, *arguments: P.args, **options: P.kwargs) -> R:
        with self._reading() as db:
            return ask(db, *arguments, **options)

    return method


def writing(do: Callable[Concatenate[Recording, P], R]) -> Callable[Concatenate[Transactions, P], R]:
    """A method that does this to the logbook, all of it or nothing."""

    @wraps(do)
    def method(self: Transactions, /, *arguments: P.args, **options: P.kwargs) -> R:
        with self._writing() as db:
            return do(db, *arguments, **options)

    return method
