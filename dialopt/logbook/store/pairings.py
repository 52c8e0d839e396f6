"""Pairings, their revisions, and which one is in use."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import datetime
from typing import Any

from dialopt.errors import NotFound, Refused, WrongUse
from dialopt.logbook import error_translation
from dialopt.logbook.records import PairingRecord
from dialopt.logbook.store import recording
from dialopt.logbook.store.kit import KINDS
from dialopt.logbook.store.recording import Recording
from dialopt.logbook.store.words import is_row_number, known_as
from dialopt.trade.dial import Dial
from dialopt.trade.pairing import Pairing

_VALUES = tuple(field.name for field in Pairing.FIELDS if field.name not in KINDS)
_DIAL = ("ratio_high", "ratio_step")
"""Beside the low end of a ratio that varies; empty for a fixed one."""
_COLUMNS = ", ".join(
    f"r.{column}"
    for column in ("pairing_id", "revision", "saved_at", *(f"{kind}_id" for kind in KINDS), *_VALUES, *_DIAL)
)
_LATEST = "r.revision = (SELECT max(revision) FROM pairing_revisions WHERE pairing_id = r.pairing_id)"
CURRENT = "current pairing"
"""The setting that holds the number of the pairing in use."""

LAST_USED = "coalesce((SELECT max(id) FROM acts WHERE pairing_id = r.pairing_id), 0) DESC, r.pairing_id DESC"
"""Sorts the pairing used last to the front: by the order of operations, which a clock that jumps can't upset."""


def save(db: Recording, pairing: Pairing) -> int:
    """The pairing's number; its kit and bean are kept along with it. Saving the same again changes nothing."""
    same = _same(db, pairing)
    if same is not None:
        return same
    pairing_id = db.insert("pairings", {})
    _add_revision(db, pairing_id, 1, pairing)
    return pairing_id


def amend(db: Recording, pairing_id: int, pairing: Pairing) -> None:
    """Sets a pairing up anew, its shots kept: for a mistyped dial or a roasting date that was found later.

    What advice saw earlier can still be replayed. Raises NotFound; Refused when another pairing is just that.
    """
    kept = by_number(db, pairing_id)
    same = _same(db, pairing)
    if same == pairing_id:
        return
    if same is not None:
        raise Refused(f"Pairing {same} is just that already: {pairing.title}; use it, or change something else.")
    _add_revision(db, pairing_id, kept.revision + 1, pairing)


def listed(db: sqlite3.Connection, at_most: int = -1, *, pulled_since: datetime | None = None) -> list[PairingRecord]:
    """The pairings, the one used last first, or `at_most` of them.

    pulled_since: only those with a shot that says it was pulled at or after this local time, time zones passed over:
    ask a day early where they may differ.
    """
    pulled = "AND r.pairing_id IN (SELECT pairing_id FROM shots WHERE pulled_at >= ?2)" if pulled_since else ""
    rows = db.execute(
        f"SELECT {_COLUMNS} FROM pairing_revisions r WHERE {_LATEST} {pulled} ORDER BY {LAST_USED} LIMIT ?1",
        (at_most, *([pulled_since.isoformat()] if pulled_since else [])),
    ).fetchall()
    shelf = Shelf(db)
    return [_kept(db, row, shelf) for row in rows]


def found(db: sqlite3.Connection, key: int | str) -> PairingRecord:
    """The pairing with that number, bean name or title ("bean on grinder"), whatever the case.

    Raises NotFound; WrongUse when several go by that name, listing their numbers.
    """
    if isinstance(key, int):
        return by_number(db, key)
    wanted = known_as(key)
    rows = db.execute(
        f"SELECT {_COLUMNS} FROM pairing_revisions r JOIN beans b ON b.id = r.bean_id "
        f"JOIN grinders g ON g.id = r.grinder_id "
        f"WHERE {_LATEST} AND (b.known_as = ? OR b.known_as || ' on ' || g.known_as = ?) ORDER BY {LAST_USED}",
        (wanted, wanted),
    ).fetchall()
    if len(rows) > 1:
        numbers = ", ".join(str(row[0]) for row in rows[:8]) + (" …" if len(rows) > 8 else "")
        raise WrongUse(f"{key!r} could be any of the pairings {numbers}; say which by its number.")
    if rows:
        return _kept(db, rows[0], Shelf(db))
    # A name made of digits was looked for first: a bean may well be called "42".
    if wanted.isascii() and wanted.isdigit() and len(wanted) < 19:
        return by_number(db, int(wanted))
    raise NotFound(f"There is no pairing {key!r}; {_there(db)}.")


def by_number(db: sqlite3.Connection, pairing_id: int) -> PairingRecord:
    """The pairing with that number in its latest revision. Raises NotFound."""
    row = None
    if is_row_number(pairing_id):
        row = db.execute(
            f"SELECT {_COLUMNS} FROM pairing_revisions r WHERE r.pairing_id = ? AND {_LATEST}", (pairing_id,)
        ).fetchone()
    if row is None:
        raise NotFound(f"There is no pairing {pairing_id}; {_there(db)}.")
    return _kept(db, row, Shelf(db))


def revision(db: sqlite3.Connection, pairing_id: int, revision: int) -> Pairing:
    """The pairing as it was set up in one revision, which must be there."""
    row = db.execute(
        f"SELECT {_COLUMNS} FROM pairing_revisions r WHERE r.pairing_id = ? AND r.revision = ?", (pairing_id, revision)
    ).fetchone()
    return _pairing(row, Shelf(db))


def check_there(db: sqlite3.Connection, pairing_id: int) -> None:
    """Raises NotFound unless there is a pairing with that number."""
    if not is_row_number(pairing_id) or not db.execute("SELECT 1 FROM pairings WHERE id = ?", (pairing_id,)).fetchone():
        raise NotFound(f"There is no pairing {pairing_id}; {_there(db)}.")


def current(db: sqlite3.Connection) -> PairingRecord:
    """The pairing in use. Raises NotFound when none was chosen yet."""
    value = recording.setting(db, CURRENT)
    if value is None:
        raise NotFound(f"No pairing is in use yet; {_there(db)}. Set one up, or say which to use.")
    if current_lost(db):
        raise NotFound(f"Which pairing is in use is lost; {_there(db)}. Say which to use.")
    return by_number(db, int(value))


def current_lost(db: sqlite3.Connection) -> bool:
    """Whether which pairing is in use is lost, as only damage can make it; choosing one mends it."""
    return bool(
        db.execute(
            "SELECT 1 FROM settings WHERE name = ? AND value NOT IN (SELECT CAST(id AS TEXT) FROM pairings)", (CURRENT,)
        ).fetchone()
    )


def make_current(db: Recording, pairing_id: int) -> None:
    """Remembers which pairing is in use. Raises NotFound."""
    check_there(db, pairing_id)
    recording.keep(db, CURRENT, str(pairing_id))


class Shelf:
    """Kit by row, each built once however many pairings share it."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db = db
        self._built: dict[tuple[str, int], Any] = {}

    def get(self, kind: str, row_id: int) -> Any:
        """The version in that row."""
        if (kind, row_id) not in self._built:
            self._built[kind, row_id] = KINDS[kind].by_row(self._db, row_id)
        return self._built[kind, row_id]


def _pairing(row: tuple[Any, ...], shelf: Shelf) -> Pairing:
    with error_translation.reading_back():
        rows, values = row[3 : 3 + len(KINDS)], row[3 + len(KINDS) :]
        parts = {kind: shelf.get(kind, row_id) for kind, row_id in zip(KINDS, rows, strict=True)}
        stored = dict(zip((*_VALUES, *_DIAL), values, strict=True))
        high, step = (stored.pop(name) for name in _DIAL)
        if high is not None:
            stored["ratio"] = Dial(stored["ratio"], high, step)
        return _of_whose_bag(Pairing(**parts, **stored))


def _of_whose_bag(pairing: Pairing) -> Pairing:
    """The pairing itself; one that somebody else sent without dates and size of the bag, which are those of one's own
    bag of that coffee.
    """
    if pairing.taster is None:
        return pairing
    return replace(pairing, bean=replace(pairing.bean, roasted_on=None, opened_on=None, bag_g=None))


def _kept(db: sqlite3.Connection, row: tuple[Any, ...], shelf: Shelf) -> PairingRecord:
    pairing_id = row[0]
    (count,) = db.execute(
        "SELECT count(DISTINCT number) FROM shots WHERE pairing_id = ? AND act_id NOT IN (SELECT act_id FROM undone)",
        (pairing_id,),
    ).fetchone()
    with error_translation.reading_back():
        saved_at = datetime.fromisoformat(row[2])
    return PairingRecord(id=pairing_id, revision=row[1], pairing=_pairing(row, shelf), shots=count, saved_at=saved_at)


def _same(db: sqlite3.Connection, pairing: Pairing) -> int | None:
    rows = db.execute(
        f"SELECT {_COLUMNS} FROM pairing_revisions r JOIN beans b ON b.id = r.bean_id "
        f"WHERE b.known_as = ? AND {_LATEST} ORDER BY r.pairing_id",
        (known_as(pairing.bean.name),),
    ).fetchall()
    shelf, wanted = Shelf(db), _of_whose_bag(pairing)
    return next((int(row[0]) for row in rows if _pairing(row, shelf) == wanted), None)


def _add_revision(db: Recording, pairing_id: int, number: int, pairing: Pairing) -> None:
    row = {"pairing_id": pairing_id, "revision": number, "saved_at": db.at.isoformat()}
    row |= {f"{name}_id": kind.row_of(db, getattr(pairing, name)) for name, kind in KINDS.items()}
    row |= {name: getattr(pairing, name) for name in _VALUES}
    if isinstance(dial := pairing.ratio, Dial):
        row |= {"ratio": dial.low, "ratio_high": dial.high, "ratio_step": dial.step}
    db.insert("pairing_revisions", row)


def _there(db: sqlite3.Connection) -> str:
    latest = db.execute(
        f"SELECT r.pairing_id, b.name, g.name FROM pairing_revisions r JOIN beans b ON b.id = r.bean_id "
        f"JOIN grinders g ON g.id = r.grinder_id WHERE {_LATEST} ORDER BY {LAST_USED} LIMIT 5"
    ).fetchall()
    if not latest:
        return "the logbook holds none yet"
    return "the logbook has " + ", ".join(f"{number} ({bean!r} on {grinder!r})" for number, bean, grinder in latest)
