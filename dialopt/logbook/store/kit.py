"""Grinders, machines, baskets and beans: one table each, a row a version, kept the same way.

What is saved under a name that is known already, with other values, becomes the newest version of it. Pairings keep the
version that they were set up with until they are amended.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from itertools import islice
from typing import Any, Generic, TypeVar

from dialopt.errors import LogbookDamaged, NotFound
from dialopt.logbook import error_translation
from dialopt.logbook.plain_values import parts_of, plain_values, thing_from
from dialopt.logbook.store.recording import Recording
from dialopt.logbook.store.words import known_as
from dialopt.trade.bean import Bean
from dialopt.trade.kit import Basket, Grinder, Machine

T = TypeVar("T", bound=Grinder | Machine | Basket | Bean)


class Kind(Generic[T]):
    """One kind of thing and its table.

    lent: whether that of a pairing which somebody else scored is theirs, as all but the coffee is.
    """

    def __init__(self, made: type[T], *, lent: bool = True) -> None:
        self.word = made.__name__.lower()
        self.table = f"{self.word}s"
        self._made, self._lent = made, lent
        # Each column with its field and, of a dial or a recipe, the part of it.
        self._columns: dict[str, tuple[str, str | None]] = {}
        for field in made.FIELDS:
            for part in parts_of(field) or (None,):
                column = field.name if part is None else f"{field.name}_{part}"
                self._columns[column] = (field.name, part)
        self._rows = f"SELECT id, {', '.join(self._columns)} FROM {self.table}"

    def save(self, db: Recording, thing: T) -> None:
        """Keeps a thing; saving the same again changes nothing."""
        if thing not in [newest for _, newest in islice(self._versions(db, thing.name), 1)]:
            self._add(db, thing)

    def row_of(self, db: Recording, thing: T) -> int:
        """The row of the thing in whatever version it is; added when it was never kept."""
        rows = (row_id for row_id, version in self._versions(db, thing.name) if version == thing)
        return next(rows, 0) or self._add(db, thing)

    def by_row(self, db: sqlite3.Connection, row_id: int) -> T:
        """The version in that row, which must be there."""
        row = db.execute(f"{self._rows} WHERE id = ?", (row_id,)).fetchone()
        if row is None:
            raise LogbookDamaged(f"The logbook holds a pairing whose {self.word} is gone.")
        return self._thing(row)

    def named(self, db: sqlite3.Connection, name: str) -> T:
        """The newest version of the thing of that name, whatever its case. Raises NotFound naming some there are."""
        for _, newest in self._versions(db, name):
            return newest
        there = ", ".join(repr(thing.name) for thing in self.newest(db, 8))
        raise NotFound(f"There is no {self.word} {name!r}; the logbook knows {there or f'no {self.word} yet'}.")

    def newest(self, db: sqlite3.Connection, at_most: int = -1) -> list[T]:
        """The newest version of each name, the one saved last first, or of `at_most`.

        Kit that came with a pairing which somebody else scored is theirs, and isn't among these.
        """
        used_by = (
            f"SELECT k.known_as FROM pairing_revisions r JOIN {self.table} k ON k.id = r.{self.word}_id "
            "WHERE r.taster IS {} NULL"
        )
        theirs = f"({used_by.format('NOT')} EXCEPT {used_by.format('')})" if self._lent else "('')"
        rows = db.execute(
            f"{self._rows} WHERE id IN (SELECT max(id) FROM {self.table} GROUP BY known_as) "
            f"AND known_as NOT IN {theirs} ORDER BY id DESC LIMIT ?",
            (at_most,),
        )
        return [self._thing(row) for row in rows]

    def is_unused(self, db: sqlite3.Connection, name: str) -> bool:
        """Whether no pairing was ever set up with it: of kit with any version of that name, of a bean with the newest,
        for each is another bag."""
        versions = "id" if self._lent else "max(id)"
        used = db.execute(
            f"SELECT 1 FROM pairing_revisions WHERE {self.word}_id IN "
            f"(SELECT {versions} FROM {self.table} WHERE known_as = ?) LIMIT 1",
            (known_as(name),),
        ).fetchone()
        return used is None

    def _versions(self, db: sqlite3.Connection, name: str) -> Iterator[tuple[int, T]]:
        """What goes by that name, the newest first, each with its row."""
        rows = db.execute(f"{self._rows} WHERE known_as = ? ORDER BY id DESC", (known_as(name),))
        return ((row[0], self._thing(row)) for row in rows.fetchall())

    def _thing(self, row: tuple[Any, ...]) -> T:
        values: dict[str, Any] = {}
        for (name, part), cell in zip(self._columns.values(), row[1:], strict=True):
            if part is None:
                values[name] = cell
            elif cell is not None:
                values.setdefault(name, {})[part] = cell
        with error_translation.reading_back():
            return thing_from(self._made, self.word, values)

    def _add(self, db: Recording, thing: T) -> int:
        values = plain_values(thing)
        row = {
            column: values[name] if part is None else (values[name] or {}).get(part)
            for column, (name, part) in self._columns.items()
        }
        return db.insert(self.table, {"known_as": known_as(thing.name), "saved_at": db.at.isoformat(), **row})


GRINDERS, MACHINES, BASKETS, BEANS = Kind(Grinder), Kind(Machine), Kind(Basket), Kind(Bean, lent=False)
KINDS: dict[str, Kind[Any]] = {kind.word: kind for kind in (GRINDERS, MACHINES, BASKETS, BEANS)}
"""By what one of them is called."""


def is_unused(db: sqlite3.Connection, thing: Grinder | Machine | Basket | Bean) -> bool:
    """Whether no pairing was set up with it yet: with kit of that name, or with that bag of beans."""
    return KINDS[type(thing).__name__.lower()].is_unused(db, thing.name)
