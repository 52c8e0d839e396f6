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
from dialopt.logbook.plain_values import plain_values, shot_from
from dialopt.logbook.records import Entry, Operation
from dialopt.logbook.store.pairings import check_there
from dialopt.logbook.store.recording import Recording
from dialopt.logbook.store.words import printable, spans, storable
from dialopt.trade.fields import COLUMNS
from dialopt.trade.shot import Shot

_LEEWAY = timedelta(days=1)
_ENTRY = ", ".join(("s.id", "a.at", "s.number", "s.revision", *(f"s.{name}" for name in COLUMNS)))


def log(db: Recording, pairing_id: int, shot: Shot) -> int:
    """Logs a shot and returns its number within the pairing.

    Raises NotFound; BadValue for half a character in the note and for a shot pulled more than a day after now.
    """
    return _log(db, pairing_id, [shot], "log", None)[0]


def import_shots(db: Recording, pairing_id: int, rows: Sequence[Shot], source: str) -> list[int]:
    """Logs many shots as one operation and returns their numbers. source: the file's name.

    Raises NotFound; Refused for no rows, for dated rows that repeat one another and for rows that are in the log
    already; BadValue.
    """
    refuse_known(db, pairing_id, rows, source)
    return add_import(db, pairing_id, rows, source)


def add_import(db: Recording, pairing_id: int, rows: Sequence[Shot], source: str) -> list[int]:
    """The same whatever is in the log already. Raises NotFound, BadValue."""
    return _log(db, pairing_id, rows, "import", source)


def amend(db: Recording, pairing_id: int, number: int, shot: Shot) -> Entry:
    """Writes a new revision of a live shot, which now counts in its place, unless it is just that already.

    Raises NotFound, BadValue.
    """
    before = live_one(db, pairing_id, number)
    if before.shot == shot:
        return before
    _check_pulled(shot, db.at)
    operation_id = _add_operation(db, pairing_id, "amend", None)
    # An undone amendment keeps its revision number, so the next one counts on from all there ever were.
    (last,) = db.execute(
        "SELECT max(revision) FROM shots WHERE pairing_id = ? AND number = ?", (pairing_id, number)
    ).fetchone()
    row = _add(db, operation_id, pairing_id, number, last + 1, shot)
    return Entry(row=row, number=number, revision=last + 1, shot=shot, written_at=db.at)


def undo(db: Recording, pairing_id: int, operation_id: int | None = None) -> Operation:
    """Takes back the latest operation that stands: a logged shot, an amendment, a whole import. Returns it.

    operation_id: the operation that is meant. Nothing is deleted; `history` still shows it.
    Raises NotFound when there is nothing left to undo, Refused when the latest operation isn't the one meant.
    """
    check_there(db, pairing_id)
    # A logbook that an older dialopt restored may hold an operation that lost its shots.
    row = db.execute(
        "SELECT id FROM acts WHERE pairing_id = ? AND id NOT IN (SELECT act_id FROM undone) "
        "AND EXISTS (SELECT 1 FROM shots WHERE act_id = acts.id) ORDER BY id DESC LIMIT 1",
        (pairing_id,),
    ).fetchone()
    if row is None:
        raise NotFound(f"There is nothing to undo: pairing {pairing_id} has no shots.")
    if operation_id not in (None, row[0]):
        raise Refused("Something else was done to the log meanwhile; nothing was taken back.")
    db.insert("undone", {"act_id": row[0], "at": db.at.isoformat()})
    return _operations(db, pairing_id, row[0])[0]


def take_back(db: Recording, pairing_id: int, number: int) -> list[Operation]:
    """Takes back one shot with its amendments, whatever was done since. Returns the operations, the latest first.

    Raises NotFound without such a shot, Refused for one that came with others in an import.
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
        db.insert("undone", {"act_id": operation.id, "at": db.at.isoformat()})
    return [replace(operation, undone_at=db.at) for operation in operations]


def live(db: sqlite3.Connection, pairing_id: int) -> list[Entry]:
    """The live shots, those not undone, in their latest standing revision, in order of number. Raises NotFound."""
    check_there(db, pairing_id)
    rows = _rows(db, "s.pairing_id = ? AND s.act_id NOT IN (SELECT act_id FROM undone)", pairing_id)
    latest = {row[2]: row for row in rows}
    return [_entry(row) for row in latest.values()]


def ever(db: sqlite3.Connection, pairing_id: int) -> dict[int, Entry]:
    """Every revision of every shot of a pairing, undone or not, by row, in order of number and revision."""
    return {row[0]: _entry(row) for row in _rows(db, "s.pairing_id = ?", pairing_id)}


def by_row(db: sqlite3.Connection, row: int) -> Entry:
    """The revision in that row, which must be there and be of an operation on its own pairing."""
    return _entry(_rows(db, "s.id = ? AND a.pairing_id = s.pairing_id", row).fetchone())


def history(db: sqlite3.Connection, pairing_id: int) -> list[Operation]:
    """Everything that was done to the shots of a pairing, undone or not, the first of it first. Raises NotFound."""
    check_there(db, pairing_id)
    return _operations(db, pairing_id)


def live_one(db: sqlite3.Connection, pairing_id: int, number: int) -> Entry:
    """The live shot of that number. Raises NotFound naming the latest that there are."""
    entries = live(db, pairing_id)
    found = next((entry for entry in entries if entry.number == number), None)
    if found is None:
        there = ", ".join(str(entry.number) for entry in entries[-12:])
        raise NotFound(f"There is no shot {number}; {f'the latest are {there}' if there else 'this pairing has none'}.")
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


def _rows(db: sqlite3.Connection, where: str, *values: int) -> sqlite3.Cursor:
    return db.execute(
        f"SELECT {_ENTRY} FROM shots s JOIN acts a ON a.id = s.act_id WHERE {where} ORDER BY s.number, s.revision",
        values,
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
                    at=datetime.fromisoformat(at),
                    undone_at=None if undone_at is None else datetime.fromisoformat(undone_at),
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
        fits = 0 < len(numbers) <= len(undated) and standing.issuperset(numbers)
        if fits and _begins(undated, numbers, revisions):
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


def _log(db: Recording, pairing_id: int, shots: Sequence[Shot], kind: str, source: str | None) -> list[int]:
    check_there(db, pairing_id)
    operation_id = _add_operation(db, pairing_id, kind, source)
    # Undone shots keep their numbers too: a number, once said to a person, never means another shot.
    (last,) = db.execute("SELECT coalesce(max(number), 0) FROM shots WHERE pairing_id = ?", (pairing_id,)).fetchone()
    for number, shot in enumerate(shots, start=last + 1):
        _check_pulled(shot, db.at)
        _add(db, operation_id, pairing_id, number, 1, shot)
    return list(range(last + 1, last + 1 + len(shots)))


def _add_operation(db: Recording, pairing_id: int, kind: str, source: str | None) -> int:
    storable("file name", source)
    row = {"pairing_id": pairing_id, "kind": kind, "source": source, "at": db.at.isoformat()}
    return db.insert("acts", row)


def _add(db: Recording, operation_id: int, pairing_id: int, number: int, revision: int, shot: Shot) -> int:
    place = {"act_id": operation_id, "pairing_id": pairing_id, "number": number, "revision": revision}
    return db.insert("shots", place | plain_values(shot.recipe) | plain_values(shot))


def _entry(row: tuple[Any, ...]) -> Entry:
    with error_translation.reading_back():
        row_id, at, number, revision, *values = row
        shot = shot_from("shot", dict(zip(COLUMNS, values, strict=True)))
        return Entry(row=row_id, number=number, revision=revision, shot=shot, written_at=datetime.fromisoformat(at))
