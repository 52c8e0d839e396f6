"""The kit and bean shelf of the logbook, and the transactions that all of it runs in.

What is saved under a name that is known already, with other values, becomes the newest version of it. Pairings keep the
version that they were set up with until they are amended.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from dialopt.logbook import backup, check, error_translation, file, journal
from dialopt.logbook.records import BurrSet
from dialopt.logbook.store import burrs, kit
from dialopt.logbook.store.recording import Recording
from dialopt.trade.bean import Bean
from dialopt.trade.kit import Basket, Grinder, Machine

_KINDS: dict[type, kit.Kind[Any]] = {
    Grinder: kit.GRINDERS,
    Machine: kit.MACHINES,
    Basket: kit.BASKETS,
    Bean: kit.BEANS,
}


class KitBook:
    """Grinders, machines, baskets and beans by name. `Logbook` adds the rest."""

    def __init__(self, path: Path, connection: Recording, now: Callable[[], datetime]) -> None:
        self.path = path
        self._identity = file.identity(path)
        self._db = connection
        self._now = now
        self._copied = False

    def save_grinder(self, grinder: Grinder) -> None:
        """Keeps a grinder; saving the same again changes nothing."""
        with self._writing() as db:
            kit.save(db, kit.GRINDERS, grinder, self._now())

    def save_machine(self, machine: Machine) -> None:
        """Keeps a machine; saving the same again changes nothing."""
        with self._writing() as db:
            kit.save(db, kit.MACHINES, machine, self._now())

    def save_basket(self, basket: Basket) -> None:
        """Keeps a basket; saving the same again changes nothing."""
        with self._writing() as db:
            kit.save(db, kit.BASKETS, basket, self._now())

    def save_bean(self, bean: Bean) -> None:
        """Keeps a bean; saving the same again changes nothing."""
        with self._writing() as db:
            kit.save(db, kit.BEANS, bean, self._now())

    def grinder(self, name: str) -> Grinder:
        """The newest version of the grinder of that name, whatever its case. Raises NotFound naming those there are."""
        with self._reading() as db:
            return kit.named(db, kit.GRINDERS, name)

    def machine(self, name: str) -> Machine:
        """The newest version of the machine of that name. Raises NotFound."""
        with self._reading() as db:
            return kit.named(db, kit.MACHINES, name)

    def basket(self, name: str) -> Basket:
        """The newest version of the basket of that name. Raises NotFound."""
        with self._reading() as db:
            return kit.named(db, kit.BASKETS, name)

    def bean(self, name: str) -> Bean:
        """The newest version of the bean of that name. Raises NotFound."""
        with self._reading() as db:
            return kit.named(db, kit.BEANS, name)

    def grinders(self, at_most: int = -1) -> list[Grinder]:
        """The newest version of every grinder, the one saved last first, or of `at_most`; so for the three below.

        Kit that came with a pairing which somebody else scored is theirs, and isn't among these.
        """
        with self._reading() as db:
            return kit.newest(db, kit.GRINDERS, at_most)

    def machines(self, at_most: int = -1) -> list[Machine]:
        """The newest version of every machine, the one saved last first."""
        with self._reading() as db:
            return kit.newest(db, kit.MACHINES, at_most)

    def baskets(self, at_most: int = -1) -> list[Basket]:
        """The newest version of every basket, the one saved last first."""
        with self._reading() as db:
            return kit.newest(db, kit.BASKETS, at_most)

    def beans(self, at_most: int = -1) -> list[Bean]:
        """The newest version of every bean, the one saved last first."""
        with self._reading() as db:
            return kit.newest(db, kit.BEANS, at_most)

    def is_unused(self, thing: Grinder | Machine | Basket | Bean) -> bool:
        """Whether no pairing was set up with it yet: with kit of that name, or with that bag of beans."""
        with self._reading() as db:
            return kit.is_unused(db, _KINDS[type(thing)], thing.name)

    def burr_sets(self, grinder: str) -> list[BurrSet]:
        """The burr sets of the grinder of that name with what went through each, the one in it now first."""
        with self._reading() as db:
            return burrs.burr_sets(db, grinder)

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        with error_translation.translated(self.path), file.transaction(self._db, "DEFERRED"):
            yield self._db

    @contextmanager
    def _writing(self) -> Iterator[Recording]:
        db = self._db
        with error_translation.translated(self.path):
            self._copy_of_the_day()
            try:
                with file.transaction(db, "IMMEDIATE"):
                    self._refuse_moved()
                    if not journal.follows(db, self.path):
                        journal.begin(db, self.path, self._now)
                db.written.clear()
                with file.transaction(db, "IMMEDIATE", around_commit=lambda: journal.noted(db, self.path)):
                    self._refuse_moved()
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
            raise error_translation.moved(self.path)
