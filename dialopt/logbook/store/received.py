"""What somebody else sent: their pairing with its shots, taken in once, and brought up to date when it comes again."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import replace

from dialopt.errors import Refused
from dialopt.logbook.records import PairingRecord, Received
from dialopt.logbook.store import pairings, shots
from dialopt.logbook.store.recording import Recording
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


def take_in(db: Recording, pairing: Pairing, rows: Sequence[Shot], source: str) -> Received:
    """Keeps a pairing that somebody else scored, with those of its shots that are new. source: the file's name.

    One that was sent before is brought up to date. Raises Refused where no shot is new or amended; BadValue.

    A shot is known where a live one of that coffee, in any of its revisions, is the same but for its note: one of
    another pairing if it says when it was pulled, or if most of what was sent is known there.
    """
    number = pairings.save(db, pairing)
    rows_elsewhere: dict[Shot, int] = {}
    for other in pairings.listed(db):
        if other.id != number and other.shots and other.pairing.bean.is_coffee_of(pairing.bean):
            there = {shot for revisions in _revisions(db, other.id).values() for shot in revisions}
            known = sum(_bare(row) in there for row in rows)
            if known == len(rows):
                raise _known(other)
            most = 2 * known > len(rows)
            rows_elsewhere |= {shot: other.id for shot in there if most or shot.pulled_at is not None}
    mine = [row for row in rows if _bare(row) not in rows_elsewhere]
    new, amended, left = _brought_up_to_date(db, number, mine)
    # What they sent before came in imports; what else is there was logged here.
    sent = {
        entry.number
        for operation in shots.history(db, number)
        if operation.kind == "import"
        for entry in operation.entries
    }
    if new:
        shots.add_import(db, number, new, source)
    if not new and not amended:
        raise Refused(f"What {pairing.taster} sent about {pairing.title} is here already, as pairing {number}.")
    elsewhere = tuple(rows_elsewhere[_bare(row)] for row in rows if _bare(row) in rows_elsewhere)
    gone = tuple(entry.number for entry in shots.live(db, number) if entry.number in sent & left and entry.shot.tells)
    return Received(pairing_id=number, new=len(new), amended=amended, elsewhere=elsewhere, gone=gone)


def _brought_up_to_date(db: Recording, pairing_id: int, rows: Sequence[Shot]) -> tuple[list[Shot], int, set[int]]:
    """Amends what was amended since it was last sent; returns the rows that are new, how many it amended, and the
    numbers of the shots that none of the rows is.

    A shot that isn't among the rows as it was, while a row that isn't known was pulled at the same time, is that one.
    """
    gone, unknown = _revisions(db, pairing_id), list[Shot]()
    for row in rows:
        here = next((number for number, revisions in gone.items() if _bare(row) in revisions), None)
        if here is None:
            unknown.append(row)
        else:
            del gone[here]  # of two alike pulls each counts
    new, amended = list[Shot](), 0
    for row in unknown:
        here = next((number for number, revisions in gone.items() if revisions[-1].pulled_at == row.pulled_at), None)
        if here is None:
            new.append(row)
        else:
            del gone[here]
            shots.amend(db, pairing_id, here, row)
            amended += 1
    return new, amended, set(gone)


def _revisions(db: sqlite3.Connection, pairing_id: int) -> dict[int, list[Shot]]:
    """Every revision of the live shots by number, the one that counts last, without their notes."""
    live = shots.live(db, pairing_id)
    revisions: dict[int, list[Shot]] = {entry.number: [] for entry in live}
    for entry in (*shots.ever(db, pairing_id).values(), *live):
        if entry.number in revisions:
            revisions[entry.number].append(_bare(entry.shot))
    return revisions


def _bare(shot: Shot) -> Shot:
    return replace(shot, note=None)


def _known(kept: PairingRecord) -> Refused:
    title, taster = kept.pairing.title, kept.pairing.taster
    these = "your own shots" if taster is None else f"shots scored by {taster} that are here already"
    return Refused(f"These are {these}, of pairing {kept.id}, {title}; taken in once more they would count twice.")
