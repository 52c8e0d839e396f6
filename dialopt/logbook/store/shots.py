"""Shots: logged, amended, undone, read back. Rows are only ever added."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any

from dialopt.errors import BadValue, NotFound, Refused
from dialopt.logbook import trouble
from dialopt.logbook.digest import DIGESTED, digest_of
from dialopt.logbook.kept import Act, Entry
from dialopt.logbook.store.pairings import check_there
from dialopt.logbook.store.words import moment, printable, spans, stamp, storable
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

_NUMBER = 2 + DIGESTED.index("number")
_LEEWAY = timedelta(days=1)
_ENTRY = f"s.id, a.at, {', '.join(f's.{column}' for column in DIGESTED)}, s.digest"


def log(
    db: sqlite3.Connection, pairing_id: int, shots: Iterable[Shot], kind: str, source: str | None, now: datetime
) -> list[int]:
    """Adds shots as one act; returns their numbers. Raises NotFound, BadValue."""
    check_there(db, pairing_id)
    act_id = _add_act(db, pairing_id, kind, source, now)
    # Undone shots keep their numbers too: a number, once said to a person, never means another shot.
    (last,) = db.execute("SELECT coalesce(max(number), 0) FROM shots WHERE pairing_id = ?", (pairing_id,)).fetchone()
    numbers = []
    for number, shot in enumerate(shots, start=last + 1):
        _check_pulled(shot, now)
        _add(db, act_id, pairing_id, number, 1, shot)
        numbers.append(number)
    return numbers


def amend(db: sqlite3.Connection, pairing_id: int, number: int, shot: Shot, now: datetime) -> Entry:
    """Adds a revision of a live shot, unless it is just that already; returns what counts now.

    Raises NotFound, BadValue.
    """
    before = live_one(db, pairing_id, number)
    if before.shot == shot:
        return before
    _check_pulled(shot, now)
    act_id = _add_act(db, pairing_id, "amend", None, now)
    # An undone amendment keeps its revision number, so the next one counts on from all there ever were.
    (last,) = db.execute(
        "SELECT max(revision) FROM shots WHERE pairing_id = ? AND number = ?", (pairing_id, number)
    ).fetchone()
    row = _add(db, act_id, pairing_id, number, last + 1, shot)
    return Entry(row=row, number=number, revision=last + 1, shot=shot, written_at=now)


def undo(db: sqlite3.Connection, pairing_id: int, now: datetime, meant: int | None = None) -> Act:
    """Marks the latest standing act as undone and returns it. Raises NotFound, Refused when it isn't the one meant."""
    check_there(db, pairing_id)
    # Of an act that was read out of a damaged file there may be no shot left to take back.
    row = db.execute(
        "SELECT id FROM acts WHERE pairing_id = ? AND id NOT IN (SELECT act_id FROM undone) "
        "AND EXISTS (SELECT 1 FROM shots WHERE act_id = acts.id) ORDER BY id DESC LIMIT 1",
        (pairing_id,),
    ).fetchone()
    if row is None:
        raise NotFound(f"There is nothing to undo: pairing {pairing_id} has no shots.")
    if meant not in (None, row[0]):
        raise Refused("Something else was done to the log meanwhile; nothing was taken back.")
    db.execute("INSERT INTO undone VALUES (?, ?)", (row[0], stamp(now)))
    return _acts(db, pairing_id, row[0])[0]


def take_back(db: sqlite3.Connection, pairing_id: int, number: int, now: datetime) -> list[Act]:
    """Marks every standing act on one live shot as undone and returns them, the latest first. Raises NotFound, Refused
    for a shot that came with others."""
    live_one(db, pairing_id, number)
    acts = [
        act
        for act in reversed(_acts(db, pairing_id))
        if act.undone_at is None and any(entry.number == number for entry in act.entries)
    ]
    if many := max(len(act.entries) for act in acts) - 1:
        raise Refused(
            f"Shot {number} came with {many} other{'s' * (many != 1)} in an import, which is taken back as a whole; "
            "`dialopt amend` with `--fault other` leaves its taste and clock out."
        )
    db.executemany("INSERT INTO undone VALUES (?, ?)", [(act.id, stamp(now)) for act in acts])
    return [replace(act, undone_at=now) for act in acts]


def live(db: sqlite3.Connection, pairing_id: int) -> list[Entry]:
    """Each shot that wasn't undone in its latest standing revision, in order of number. Raises NotFound."""
    check_there(db, pairing_id)
    rows = db.execute(
        f"SELECT {_ENTRY} FROM shots s JOIN acts a ON a.id = s.act_id "
        "WHERE s.pairing_id = ? AND s.act_id NOT IN (SELECT act_id FROM undone) ORDER BY s.number, s.revision",
        (pairing_id,),
    )
    latest = {row[_NUMBER]: row for row in rows}
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
    """The revision in that row, which must be there and be of an act on its own pairing."""
    found = db.execute(
        f"SELECT {_ENTRY} FROM shots s JOIN acts a ON a.id = s.act_id AND a.pairing_id = s.pairing_id WHERE s.id = ?",
        (row,),
    ).fetchone()
    return _entry(found)


def history(db: sqlite3.Connection, pairing_id: int) -> list[Act]:
    """Every act on a pairing's shots, from the first on. Raises NotFound."""
    check_there(db, pairing_id)
    return _acts(db, pairing_id)


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
        imports = [act for act in _acts(db, pairing_id) if act.kind == "import"]
        known += _stretch(undated, revisions, standing) or _grown_from(undated, imports, revisions, standing)
    if known:
        many = len(set(known))
        raise Refused(
            f"{_of_rows(len(known), rows, source)} in the log already, as "
            f"shot{'s' * (many > 1)} {spans(known)}; nothing was imported. Leave these rows out, or give pulled_at to "
            "tell a new pull from an old one."
        )


def _acts(db: sqlite3.Connection, pairing_id: int, only: int | None = None) -> list[Act]:
    rows = db.execute(
        f"SELECT a.id, a.kind, a.source, a.at, u.at, {_ENTRY} FROM acts a LEFT JOIN undone u ON u.act_id = a.id "
        "JOIN shots s ON s.act_id = a.id "
        "WHERE a.pairing_id = ?1 AND (?2 IS NULL OR a.id = ?2) ORDER BY a.id, s.number",
        (pairing_id, only),
    )
    acts = []
    for (act_id, kind, source, at, undone_at), group in groupby(rows, key=lambda row: row[:5]):
        with trouble.reading_back():
            acts.append(
                Act(
                    id=act_id,
                    kind=kind,
                    source=source,
                    at=moment(at),
                    undone_at=None if undone_at is None else moment(undone_at),
                    entries=tuple(_entry(row[5:]) for row in group),
                )
            )
    return acts


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
    undated: list[Shot], imports: Iterable[Act], revisions: dict[int, set[Shot]], standing: set[int]
) -> list[int]:
    """The numbers of an earlier import with all of whose shots these begin: a sheet that grew since."""
    for act in imports:
        told = [entry.number for entry in act.entries if entry.shot.pulled_at is None]
        if told and len(told) <= len(undated) and standing.issuperset(told) and _begins(undated, told, revisions):
            return told
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


def _add_act(db: sqlite3.Connection, pairing_id: int, kind: str, source: str | None, now: datetime) -> int:
    return int(
        db.execute(
            "INSERT INTO acts (pairing_id, kind, source, at) VALUES (?, ?, ?, ?)",
            (pairing_id, kind, storable("file name", source), stamp(now)),
        ).lastrowid
        or 0
    )


def _add(db: sqlite3.Connection, act_id: int, pairing_id: int, number: int, revision: int, shot: Shot) -> int:
    recipe = shot.recipe
    values = (
        *(act_id, pairing_id, number, revision),
        *(recipe.grind, recipe.dose_g, recipe.temp_c),
        *(shot.yield_g, shot.time_s, shot.score, shot.balance, shot.fault, shot.tds_pct),
        None if shot.pulled_at is None else stamp(shot.pulled_at),
        storable("note", shot.note),
    )
    marks = ", ".join("?" * len(DIGESTED))
    return int(
        db.execute(
            f"INSERT INTO shots ({', '.join(DIGESTED)}, digest) VALUES ({marks}, ?)", (*values, digest_of(values))
        ).lastrowid
        or 0
    )


def _entry(row: tuple[Any, ...]) -> Entry:
    with trouble.reading_back():
        row_id, at, *values, digest = row
        _, _, number, revision, grind, dose_g, temp_c, yield_g, time_s, *rest = values
        score, balance, fault, tds_pct, pulled_at, note = rest
        if digest_of(values) != digest:
            raise ValueError(f"shot {number} isn't as it was written.")
        shot = Shot(
            recipe=Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c),
            yield_g=yield_g,
            time_s=time_s,
            score=score,
            balance=balance,
            fault=fault,
            tds_pct=tds_pct,
            pulled_at=None if pulled_at is None else moment(pulled_at),
            note=note,
        )
        return Entry(row=row_id, number=number, revision=revision, shot=shot, written_at=moment(at))
