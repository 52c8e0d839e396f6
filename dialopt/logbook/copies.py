"""The dated copies beside a logbook, and what each holds."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from dialopt.errors import LogbookError
from dialopt.logbook import backup, trouble
from dialopt.logbook.migrate import schema_of
from dialopt.logbook.schema import APPLICATION_ID, STEPS
from dialopt.logbook.store.words import moment

_LISTED = "pairing_id IN (SELECT pairing_id FROM pairing_revisions)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What a logbook file holds.

    pairings, shots: those that can be shown. unlisted: how many shots can't be, as the bean or the kit of their pairing
    was lost. acts: how much was ever done, which orders the copies of one logbook whatever the clock said. last_at:
    when something that can be shown was done last. trouble: why it can't be used, None when it can.
    """

    path: Path
    pairings: int = 0
    shots: int = 0
    unlisted: int = 0
    acts: int = 0
    last_at: datetime | None = None
    trouble: str | None = None


def dated_copies(path: Path) -> list[Held]:
    """The copies in the backups folder beside the logbook at `path`, the fullest first, those that can't be used last.

    Raises LogbookError for a folder that can't be read.
    """
    folder = path.parent / backup.FOLDER
    with trouble.told(path):
        files = sorted(folder.glob("[!.]*.db")) if folder.is_dir() else []
    return sorted(map(held, files), key=lambda it: (it.trouble is None, it.acts, it.path.name), reverse=True)


def held(path: Path) -> Held:
    """What the file holds; it is left as it is."""
    try:
        with trouble.told(path), closing(read_only(path)) as db:
            if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID or schema_of(db) < 1:
                return Held(path=path, trouble="it isn't a dialopt logbook")
            if schema_of(db) > len(STEPS):
                return Held(path=path, trouble="it was written by a newer dialopt")
            if db.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
                return Held(path=path, trouble="it is damaged")
            acts, last_at = db.execute(
                f"SELECT count(*), (SELECT at FROM acts WHERE {_LISTED} ORDER BY id DESC LIMIT 1) FROM acts"
            ).fetchone()
            shots, unlisted = db.execute(
                "SELECT count(*) FILTER (WHERE listed), count(*) FILTER (WHERE NOT listed) FROM "
                f"(SELECT DISTINCT pairing_id, number, {_LISTED} AS listed FROM shots "
                "WHERE act_id NOT IN (SELECT act_id FROM undone))"
            ).fetchone()
            (pairings,) = db.execute("SELECT count(DISTINCT pairing_id) FROM pairing_revisions").fetchone()
            with trouble.reading_back():
                last = None if last_at is None else moment(last_at)
            return Held(path=path, pairings=pairings, shots=shots, unlisted=unlisted, acts=acts, last_at=last)
    except LogbookError:
        return Held(path=path, trouble="it can't be read")


def read_only(path: Path) -> sqlite3.Connection:
    """A connection that changes nothing, not even to take back what was cut short. Raises sqlite3.Error."""
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, isolation_level=None)
