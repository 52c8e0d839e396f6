"""Shots: logged, amended, undone, read back. Rows are only ever added."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any

from dialopt.errors import BadValue, NotFound, Refused
from dialopt.logbook import error_translation
from dialopt.logbook.records import Entry, Operation
from dialopt.logbook.store.pairings import check_there
from dialopt.logbook.store.recording import Recording
from dialopt.logbook.store.words import moment, printable, spans, stamp, storable
from dialopt.trade.fields import COLUMNS, NOTED_COLUMNS, RECIPE_COLUMNS
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

_LEEWAY = timedelta(days=1)
_ENTRY = ", ".join(("s.id", "a.at", "s.number", "s.revision", *(f"s.{name}" for name in COLUMNS)))


def log(
    db: Recording, pairing_id: int, shots: Iterable[Shot], kind: str, source: str | None, now: datetime
) -> list[int]:
    """Adds shots as one operation; returns their numbers. Raises NotFound, BadValue."""
    check_there(db, pairing_id)
    operation_id = _add_operation(db, pairing_id, kind, source, now)
    # Undone shots keep their numbers too: a number, once said to a person, never means another shot.
    (last,) = db.execute("SELECT coalesce(max(number), 0) FROM shots WHERE pairing_id = ?", (pairing_id,)).fetchone()
    numbers = []
    for number, shot in enumerate(shots, start=last + 1):
        _check_pulled(shot, now)
        _add(db, operation_id, pairing_id, number, 1, shot)
        numbers.append(number)
    return numbers


def amend(db: Recording, pairing_id: int, number: int, shot: Shot, now: datetime) -> Entry:
    """Adds a revision of a live shot, unless it is just that already; returns what counts now.

    Raises NotFound, BadValue.
    """
    before = live_one(db, pairing_id, number)
    if before.shot == shot:
        return before
    _check_pulled(shot, now)
    operation_id = _add_operation(db, pairing_id, "amend", None, now)
    # An undone amendment keeps its revision number, so the next one counts on from all there ever were.
    (last,) = db.execute(
        "SELECT max(revision) FROM shots WHERE pairing_id = ? AND number = ?", (pairing_id, number)
    ).fetchone()
    row = _add(db, operation_id, pairing_id, number, last + 1, shot)
    return Entry(row=row, number=number, revision=last + 1, shot=shot, written_at=now)


def undo(db: Recording, pairing_id: int, now: datetime, meant: int | None = None) -> Operation:
    """Marks the latest standing operation as undone and returns it. Raises NotFound, Refused if another was meant."""
    check_there(db, pairing_id)
    # A logbook that an older dialopt restored may hold an operation that lost its shots.
    row = db.execute(
        "SELECT id FROM acts WHERE pairing_id = ? AND id NOT IN (SELECT act_id FROM undone) "
        "AND EXISTS (SELECT 1 FROM shots WHERE act_id = acts.id) ORDER BY id DESC LIMIT 1",
        (pairing_id,),
    ).fetchone()
    if row is None:
        raise NotFound(f"There is nothing to undo: pairing {pairing_id} has no shots.")
    if meant not in (None, row[0]):
        raise Refused("Something else was done to the log meanwhile; nothing was taken back.")
    db.insert("undone", {"act_id": row[0], "at": stamp(now)})
    return _operations(db, pairing_id, row[0])[0]


def take_back(db: Recording, pairing_id: int, number: int, now: datetime) -> list[Operation]:
    """Marks every standing operation on one live shot as undone and returns them, the latest first.

    Raises NotFound, Refused for a shot that came with others.
    """
    live_one(db, pairing_id, number)
    operations = [
        operation
        for operation in reversed(_operations(db, pairing_id))
        if operation.undone_at is None and any(entry.number == number for entry in operation.entries)
    ]
    if many := max(len(operation.entries) for operation in operations) - 1:
        raise Refused(
            f"Shot {number} came with {many} other{'s' * (many != 1)} in an import, which is taken back as a whole; "
            "`dialopt amend` with `--fault other` leaves its taste and clock out."
        )
    for operation in operations:
        db.insert("undone", {"act_id": operation.id, "at": stamp(now)})
    return [replace(operation, undone_at=now) for operation in operations]


def live(db: sqlite3.Connection, pairing_id: int) -> list[Entry]:
    """Each shot that wasn't undone in its latest standing revision, in order of number. Raises NotFound."""
    check_there(db, pairing_id)
    rows = db.execute(
        f"SELECT {_ENTRY} FROM shots s JOIN acts a ON a.id = s.act_id "
        "WHERE s.pairing_id = ? AND s.act_id NOT IN (SELECT act_id FROM undone) ORDER BY s.number, s.revision",
        (pairing_id,),
    )
    latest = {row[2]: row for row in rows}
    return [_entry(row) for row in latest.values()]


def ever(db: sqlite3.Connection, pairing_id: int) -> dict[int, Entry]:
    """Every revision of every shot of a pairing, undone or not, by row, in order of number and revision."""
    rows = db.execute(
        f"SELECT {_ENTRY} FROM shots s JOIN acts a ON a.id = s.act_id "
        "WHERE s.pairing_id = ? ORDER BY s.number, s.revision",
        (pairing_id,),
    )
    return {row[0]: _entry(row) for row in rows}


def by_row(db: sqlite3.Connection, row: int) -> Entry:
    """The revision in that row, which must be there and be of an operation on its own pairing."""
    found = db.execute(
        f"SELECT {_ENTRY} FROM shots s JOIN acts a ON a.id = s.act_id AND a.pairing_id = s.pairing_id WHERE s.id = ?",
        (row,),
    ).fetchone()
    return _entry(found)


def history(db: sqlite3.Connection, pairing_id: int) -> list[Operation]:
    """Every operation on a pairing's shots, from the first on. Raises NotFound."""
    check_there(db, pairing_id)
    return _operations(db, pairing_id)


def live_one(db: sqlite3.Connection, pairing_id: int, number: int) -> Entry:
    """That shot as it counts now. Raises NotFound naming the latest that there are."""
    entries = live(db, pairing_id)
    found = next((entry for entry in entries if entry.number == number), None)
    if found is None:
        there = ", ".join(str(entry.number) for entry in entries[-12:])
        raise NotFound(
            f"There is no shot {number}; the latest are {there}."
            if there
            else f"There is no shot {number}; this pairing has none."
        )
    return found


def refuse_known(db: sqlite3.Connection, pairing_id: int, rows: Sequence[Shot], source: str) -> None:
    """Raises Refused for no rows, rows that repeat or are in the log already; NotFound without such a pairing.

    Rows repeat one another when they are equal and say when they were pulled.
    A row that says when it was pulled is known when a live shot, in any of its revisions, equals it. Rows that don't
    say are known when they are, one after the other, a stretch of the log, or begin with all of an earlier import: two
    alike pulls are nothing odd, a whole file that stands in the log already is, and so is one that grew since.
    """
    check_there(db, pairing_id)
    if not rows:
        raise Refused(f"{printable(source)} holds no shots; nothing was imported.")
    dated_rows = [shot for shot in rows if shot.pulled_at is not None]
    again = len(dated_rows) - len(set(dated_rows))
    if again:
        raise Refused(
            f"{_of_rows(again, rows, source)} there twice, with the same pulled_at; nothing was imported. Leave each "
            "such shot in once."
        )
    standing = {entry.number for entry in live(db, pairing_id)}
    revisions: dict[int, set[Shot]] = {}
    for entry in ever(db, pairing_id).values():
        revisions.setdefault(entry.number, set()).add(entry.shot)
    dated = {shot: number for number in sorted(standing) for shot in revisions[number] if shot.pulled_at is not None}
    known = [dated[shot] for shot in rows if shot in dated]
    undated = [shot for shot in rows if shot.pulled_at is None]
    if undated:
        imports = [operation for operation in _operations(db, pairing_id) if operation.kind == "import"]
        known += _stretch(undated, revisions, standing) or _grown_from(undated, imports, revisions, standing)
    if known:
        many = len(set(known))
        raise Refused(
            f"{_of_rows(len(known), rows, source)} in the log already, as "
            f"shot{'s' * (many > 1)} {spans(known)}; nothing was imported. Leave these rows out, or give pulled_at to "
            "tell a new pull from an old one."
        )


def _operations(db: sqlite3.Connection, pairing_id: int, only: int | None = None) -> list[Operation]:
    rows = db.execute(
        f"SELECT a.id, a.kind, a.source, a.at, u.at, {_ENTRY} FROM acts a LEFT JOIN undone u ON u.act_id = a.id "
        "JOIN shots s ON s.act_id = a.id "
        "WHERE a.pairing_id = ?1 AND (?2 IS NULL OR a.id = ?2) ORDER BY a.id, s.number",
        (pairing_id, only),
    )
    operations = []
    for (operation_id, kind, source, at, undone_at), group in groupby(rows, key=lambda row: row[:5]):
        with error_translation.reading_back():
            operations.append(
                Operation(
                    id=operation_id,
                    kind=kind,
                    source=source,
                    at=moment(at),
                    undone_at=None if undone_at is None else moment(undone_at),
                    entries=tuple(_entry(row[5:]) for row in group),
                )
            )
    return operations


def _of_rows(many: int, rows: Sequence[Shot], source: str) -> str:
    return (
        f"{many} of the {len(rows)} row{'s' * (len(rows) != 1)} of {printable(source)} {'is' if many == 1 else 'are'}"
    )


def _stretch(undated: list[Shot], revisions: dict[int, set[Shot]], standing: set[int]) -> list[int]:
    """The numbers of these shots where all of them stand one after the other in the log."""
    numbers = sorted(revisions)
    for start in range(len(numbers) - len(undated) + 1):
        stretch = numbers[start : start + len(undated)]
        if _begins(undated, stretch, revisions) and standing.intersection(stretch):
            return stretch
    return []


def _grown_from(
    undated: list[Shot], imports: Iterable[Operation], revisions: dict[int, set[Shot]], standing: set[int]
) -> list[int]:
    """The numbers of an earlier import with all of whose shots these begin: a sheet that grew since."""
    for operation in imports:
        numbers = [entry.number for entry in operation.entries if entry.shot.pulled_at is None]
        if (
            numbers
            and len(numbers) <= len(undated)
            and standing.issuperset(numbers)
            and _begins(undated, numbers, revisions)
        ):
            return numbers
    return []


def _begins(shots: list[Shot], numbers: list[int], revisions: dict[int, set[Shot]]) -> bool:
    """Whether the first of the shots are, in turn, those of these numbers in any of their revisions."""
    return all(shot in revisions[number] for shot, number in zip(shots, numbers, strict=False))


def _check_pulled(shot: Shot, now: datetime) -> None:
    """Raises BadValue for a shot pulled well after `now`. A day's leeway is for time zones and clocks set late."""
    at = shot.pulled_at
    if at is None:
        return
    if at.utcoffset() is None:
        now = now.replace(tzinfo=None)
    elif now.utcoffset() is None:
        now = now.astimezone()
    if at - now > _LEEWAY:
        raise BadValue("pulled_at", at.isoformat(), f"a time that has come; it is {now:%Y-%m-%d %H:%M} now")


def _add_operation(db: Recording, pairing_id: int, kind: str, source: str | None, now: datetime) -> int:
    source = storable("file name", source)
    return db.insert("acts", {"pairing_id": pairing_id, "kind": kind, "source": source, "at": stamp(now)})


def _add(db: Recording, operation_id: int, pairing_id: int, number: int, revision: int, shot: Shot) -> int:
    return db.insert(
        "shots",
        {
            "act_id": operation_id,
            "pairing_id": pairing_id,
            "number": number,
            "revision": revision,
            **{name: getattr(shot.recipe, name) for name in RECIPE_COLUMNS},
            **{name: getattr(shot, name) for name in NOTED_COLUMNS},
            "pulled_at": None if shot.pulled_at is None else stamp(shot.pulled_at),
            "note": storable("note", shot.note),
        },
    )


def _entry(row: tuple[Any, ...]) -> Entry:
    with error_translation.reading_back():
        row_id, at, number, revision, *rest = row
        values = dict(zip(COLUMNS, rest, strict=True))
        if values["pulled_at"] is not None:
            values["pulled_at"] = moment(values["pulled_at"])
        shot = Shot(recipe=Recipe(**{name: values.pop(name) for name in RECIPE_COLUMNS}), **values)
        return Entry(row=row_id, number=number, revision=revision, shot=shot, written_at=moment(at))
