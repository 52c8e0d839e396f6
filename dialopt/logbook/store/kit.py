"""Grinders, machines, baskets and beans: one table each, a row a version, kept the same way."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Generic, TypeVar

from dialopt.errors import LogbookDamaged, NotFound
from dialopt.logbook import error_translation
from dialopt.logbook.store.recording import Recording
from dialopt.logbook.store.words import dial_columns, known_as, stamp, storable
from dialopt.trade.bag_recipe import BagRecipe
from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial
from dialopt.trade.kit import Basket, Grinder, Machine

T = TypeVar("T", Grinder, Machine, Basket, Bean)


@dataclass(frozen=True, slots=True)
class Kind(Generic[T]):
    """How one kind of thing lies in its table. `columns` are in the order of `to_row` and `from_row`.

    lent: whether that of a pairing which somebody else scored is theirs, as all but the coffee is.
    """

    table: str
    word: str
    columns: tuple[str, ...]
    to_row: Callable[[T], tuple[Any, ...]]
    from_row: Callable[..., T]
    lent: bool = True


_BAG_RECIPE = tuple(BagRecipe.__slots__)
SUGGESTED = tuple(f"suggested_{field}" for field in _BAG_RECIPE)


def bag_recipe_columns(suggested: BagRecipe | None) -> tuple[float | None, ...]:
    """A roaster's recipe as the columns SUGGESTED."""
    return tuple(getattr(suggested, field, None) for field in _BAG_RECIPE)


def bag_recipe_in(columns: Sequence[float | None]) -> BagRecipe | None:
    """The recipe in those columns, None when all are empty."""
    if all(value is None for value in columns):
        return None
    return BagRecipe(**dict(zip(_BAG_RECIPE, columns, strict=True)))


def _day_text(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


GRINDERS: Kind[Grinder] = Kind(
    "grinders",
    "grinder",
    ("name", "grind_low", "grind_high", "grind_step", "finer", "burrs", "purge_g"),
    lambda it: (it.name, *dial_columns(it.grind), it.finer, it.burrs, it.purge_g),
    lambda name, low, high, step, finer, burrs, purge_g: Grinder(
        name=name, grind=Dial(low, high, step), finer=finer, burrs=burrs, purge_g=purge_g
    ),
)
MACHINES: Kind[Machine] = Kind(
    "machines",
    "machine",
    ("name", "temp_c_low", "temp_c_high", "temp_c_step"),
    lambda it: (it.name, *dial_columns(it.temp_c)),
    lambda name, low, high, step: Machine(name=name, temp_c=Dial(low, high, step)),
)
BASKETS: Kind[Basket] = Kind(
    "baskets",
    "basket",
    ("name", "dose_g_low", "dose_g_high", "dose_g_step"),
    lambda it: (it.name, *dial_columns(it.dose_g)),
    lambda name, low, high, step: Basket(name=name, dose_g=Dial(low, high, step)),
)
BEANS: Kind[Bean] = Kind(
    "beans",
    "bean",
    ("name", "roaster", "origin", "process", "roast", "roasted_on", "bag_g", "species", "opened_on", *SUGGESTED),
    lambda it: (
        it.name,
        it.roaster,
        it.origin,
        it.process,
        it.roast,
        _day_text(it.roasted_on),
        it.bag_g,
        it.species,
        _day_text(it.opened_on),
        *bag_recipe_columns(it.suggested),
    ),
    lambda name, roaster, origin, process, roast, roasted_on, bag_g, species, opened_on, *suggested: Bean(
        name=name,
        roaster=roaster,
        origin=origin,
        process=process,
        roast=roast,
        roasted_on=_day(roasted_on),
        bag_g=bag_g,
        species=species,
        opened_on=_day(opened_on),
        suggested=bag_recipe_in(suggested),
    ),
    lent=False,
)


def save(db: Recording, kind: Kind[T], thing: T, now: datetime) -> int:
    """The row of the thing; a new one, hence the newest version, unless the newest is just that already."""
    row = db.execute(
        f"SELECT id, {', '.join(kind.columns)} FROM {kind.table} WHERE known_as = ? ORDER BY id DESC LIMIT 1",
        (known_as(thing.name),),
    ).fetchone()
    if row is not None and _thing(kind, row[1:]) == thing:
        return int(row[0])
    return _add(db, kind, thing, now)


def row_of(db: Recording, kind: Kind[T], thing: T, now: datetime) -> int:
    """The row of the thing in whatever version it is; added when it was never kept."""
    rows = db.execute(
        f"SELECT id, {', '.join(kind.columns)} FROM {kind.table} WHERE known_as = ? ORDER BY id DESC",
        (known_as(thing.name),),
    )
    for row in rows:
        if _thing(kind, row[1:]) == thing:
            return int(row[0])
    return _add(db, kind, thing, now)


def by_row(db: sqlite3.Connection, kind: Kind[T], row_id: int) -> T:
    """The version in that row, which must be there."""
    row = db.execute(f"SELECT {', '.join(kind.columns)} FROM {kind.table} WHERE id = ?", (row_id,)).fetchone()
    if row is None:
        raise LogbookDamaged(f"The logbook holds a pairing whose {kind.word} is gone.")
    return _thing(kind, row)


def named(db: sqlite3.Connection, kind: Kind[T], name: str) -> T:
    """The newest version of that name. Raises NotFound naming some that there are."""
    row = db.execute(
        f"SELECT {', '.join(kind.columns)} FROM {kind.table} WHERE known_as = ? ORDER BY id DESC LIMIT 1",
        (known_as(name),),
    ).fetchone()
    if row is not None:
        return _thing(kind, row)
    there = [repr(thing.name) for thing in newest(db, kind, 8)]
    raise NotFound(
        f"There is no {kind.word} {name!r}; the logbook knows {', '.join(there)}."
        if there
        else f"There is no {kind.word} {name!r}; the logbook knows no {kind.word} yet."
    )


def newest(db: sqlite3.Connection, kind: Kind[T], at_most: int = -1) -> list[T]:
    """The newest version of each name, the one saved last first; other people's kit isn't among one's own."""
    used_by = (
        f"SELECT k.known_as FROM pairing_revisions r JOIN {kind.table} k ON k.id = r.{kind.word}_id "
        "WHERE r.taster IS {} NULL"
    )
    theirs = f"({used_by.format('NOT')} EXCEPT {used_by.format('')})" if kind.lent else "('')"
    rows = db.execute(
        f"SELECT {', '.join(kind.columns)} FROM {kind.table} "
        f"WHERE id IN (SELECT max(id) FROM {kind.table} GROUP BY known_as) AND known_as NOT IN {theirs} "
        "ORDER BY id DESC LIMIT ?",
        (at_most,),
    )
    return [_thing(kind, row) for row in rows]


def is_unused(db: sqlite3.Connection, kind: Kind[T], name: str) -> bool:
    """Whether no pairing was ever set up with it: of kit with any version of that name, of a bean with the newest, for
    each is another bag."""
    versions = "id" if kind.lent else "max(id)"
    used = db.execute(
        f"SELECT 1 FROM pairing_revisions WHERE {kind.word}_id IN "
        f"(SELECT {versions} FROM {kind.table} WHERE known_as = ?) LIMIT 1",
        (known_as(name),),
    ).fetchone()
    return used is None


def _thing(kind: Kind[T], row: tuple[Any, ...]) -> T:
    with error_translation.reading_back():
        return kind.from_row(*row)


def _add(db: Recording, kind: Kind[T], thing: T, now: datetime) -> int:
    values: tuple[Any, ...] = kind.to_row(thing)
    for value in values:
        if isinstance(value, str):
            storable(kind.word, value)
    named = {"known_as": known_as(thing.name), "saved_at": stamp(now)}
    return db.insert(kind.table, named | dict(zip(kind.columns, values, strict=True)))
