"""Makes a whole logbook of a dated copy and of what a damaged file still yields."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from dialopt.errors import LogbookDamaged, Refused
from dialopt.logbook import backup, check, file, schema_pages, trouble
from dialopt.logbook.migrate import Step, run, schema_of
from dialopt.logbook.salvage import Salvaged, salvage
from dialopt.logbook.schema import APPLICATION_ID, STEPS
from dialopt.logbook.store.rows import TABLES


class CopyUnusable(Refused):
    """The copy isn't a whole logbook of a schema that is known here."""


def built(
    path: Path, chosen: Sequence[Path | None], place: Path, *, add: bool
) -> tuple[Path, Path | None, Salvaged | None]:
    """The new logbook, whole and on disk, of the first copy that is whole; that copy; and what was added to it.

    chosen: None among the copies stands for none. place: a folder for its files. add: whether to add what can be read
    of the damaged logbook at `path`. Raises CopyUnusable, OSError, sqlite3.Error.
    """
    if None in chosen and not (add and path.is_file()):
        raise CopyUnusable("There is no damaged logbook to build from; name a dated copy.")
    unusable: CopyUnusable | None = None
    for turn, copy in enumerate(chosen):
        new = place / f"new-{turn}.db"
        damaged = duplicate(path, place / f"damaged-{turn}.db") if add else None
        with _readable(damaged, copy) as source:
            try:
                saved = _made_of(new, copy, source)
            except CopyUnusable as error:
                unusable = unusable or error
                continue
            backup.flush(new)
            return new, copy, saved
    raise unusable or CopyUnusable("There is no copy to restore the logbook from; nothing was changed.")


def _made_of(new: Path, copy: Path | None, source: sqlite3.Connection | None) -> Salvaged | None:
    if copy is not None:
        shutil.copyfile(copy, new)
    elif source is not None:
        file.lay_out(new, STEPS[: schema_of(source)])
    else:
        raise CopyUnusable("Nothing can be read from the damaged file; it takes a dated copy to restore the logbook.")
    named, saved = "what was read" if copy is None else copy.name, None
    with closing(sqlite3.connect(new, isolation_level=None)) as db:
        try:
            if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID or schema_of(db) < 1:
                raise CopyUnusable(f"{named} isn't a dialopt logbook; nothing was changed.")
            if schema_of(db) > len(STEPS):
                raise CopyUnusable(
                    f"{named} was written by a newer dialopt; nothing was changed. Update dialopt first."
                )
            # The two have the same tables once the copy was taken to the schema of the damaged one.
            if source is not None and schema_of(db) <= schema_of(source):
                _migrated(db, STEPS[: schema_of(source)])
                db.execute("PRAGMA foreign_keys = ON")
                with file.transaction(db, "IMMEDIATE"):
                    saved = salvage(source, db)
                db.execute("PRAGMA foreign_keys = OFF")
            _migrated(db, STEPS)
            found = check.findings(db)
        except (LogbookDamaged, UnicodeDecodeError) as error:
            found = [str(error)]
        except sqlite3.DatabaseError as error:
            if isinstance(error, sqlite3.OperationalError):
                raise  # a full disk says nothing about the copy
            found = [f"{error}."]
    if found:
        raise CopyUnusable(f"{named} isn't whole, so nothing was changed. {found[0]} Choose another copy.")
    return saved


def _migrated(db: sqlite3.Connection, steps: Sequence[Step]) -> None:
    while (schema := schema_of(db)) < len(steps):
        with file.transaction(db, "IMMEDIATE"):
            run(db, steps, schema)


@contextmanager
def _readable(damaged: Path | None, copy: Path | None) -> Iterator[sqlite3.Connection | None]:
    """A connection to a duplicate of the damaged file, if it can still be told for a logbook of a known schema.

    Where its pages that say where each table begins are beyond reading, the copy's are tried, for tables never move.
    What is read by them has to stand up as rows of that table like any other.
    """
    if damaged is None:
        yield None
        return
    for turn in range(2):
        if turn and copy is not None:
            schema_pages.lend(copy, damaged)
        with closing(sqlite3.connect(damaged, isolation_level=None)) as db:
            if _is_known(db):
                yield db
                return
    yield None


def _is_known(db: sqlite3.Connection) -> bool:
    with suppress(*trouble.UNREADABLE):
        schema = schema_of(db)
        if db.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID and 1 <= schema <= len(STEPS):
            with closing(sqlite3.connect(":memory:", isolation_level=None)) as fresh:
                _migrated(fresh, STEPS[:schema])
                return _columns(db) == _columns(fresh)
    return False


def _columns(db: sqlite3.Connection) -> list[list[str]]:
    return [[row[1] for row in db.execute(f"PRAGMA table_info({table.name})")] for table in TABLES]


def duplicate(path: Path, to: Path) -> Path | None:
    """Copies a logbook file, if there is one, with its journal: what was cut short is then taken back in the copy."""
    if not path.is_file():
        return None
    shutil.copyfile(path, to)
    with suppress(FileNotFoundError):
        shutil.copyfile(file.journal_of(path), file.journal_of(to))
    backup.flush(to)
    return to
