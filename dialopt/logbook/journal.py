"""The journal: the whole logbook once more, as text that is only ever added to.

`logbook.jsonl` stands beside the logbook. UTF-8, a JSON object a line, each what one operation wrote:

    line     1, 2, 3 …; of two with one number the later counts
    schema   that of the tables, see `STEPS`
    rows     [table, {column: value}], in turn; a setting replaces the one before, the value null takes it back
    check    CRC-32, eight hex digits, of the line's bytes before `,"check"`

A line is on disk before its operation is committed, and nothing is confirmed before that. The logbook says up to which
line it stands, so a line that a kill kept from being committed is told by its number, and superseded by the next one;
were the logbook lost just then, it would come back with one whole operation that nobody was told of.

Where the two don't follow on each other (an older logbook without a journal, a journal that was deleted, a copy put in
the logbook's place), the journal is begun anew with all that the logbook holds, and the one before it is kept. As rows
are only ever added, that is about as long as the journal was: there is nothing to compact.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zlib import crc32

from dialopt.logbook import error_translation
from dialopt.logbook.backup import copies_folder
from dialopt.logbook.migrate import schema_of, take_steps
from dialopt.logbook.schema import KEYS, STEPS, TABLES
from dialopt.logbook.store.recording import Recording, Row, add, put, rows, transaction
from dialopt.logbook.whole_file import finish, flush_folder, placed, temporary_file

SUFFIX = ".jsonl"
_ROWS = 200
"""Rows to a line where a journal is begun: a damaged line takes no more with it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What one line says. check, end: its checksum, and where it ends, in bytes from the start of the journal."""

    number: int
    schema: int
    rows: Sequence[Row]
    check: str
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Journal:
    """What can be read of a journal. lines: in order of number. missing: how many before the last can't be read."""

    lines: tuple[Line, ...]
    missing: int


def journal_of(path: Path) -> Path:
    """Where the journal of the logbook at `path` is: beside the file itself, should that be a link."""
    return Path(os.path.realpath(path)).with_suffix(SUFFIX)


def read(journal: Path, up_to: int | None = None) -> Journal:
    """What the file says, as far as it can be read, up to that line. Raises OSError."""
    lines = {line.number: line for line in _lines(journal.read_bytes(), 0) if line is not None}
    lines = {number: line for number, line in lines.items() if up_to is None or number <= up_to}
    return Journal(lines=tuple(lines[number] for number in sorted(lines)), missing=max(lines, default=0) - len(lines))


def follows(db: sqlite3.Connection, path: Path) -> bool:
    """Whether the journal says all up to where the logbook stands, and beyond that only what was never committed.

    Within a transaction. Raises OSError, sqlite3.Error.
    """
    stands, journal = _stands(db), journal_of(path)
    if stands is None or not journal.is_file():
        return False
    number, size, check = stands
    ending = _ending(check) + b"\n" if size else b""
    with journal.open("rb") as handle:
        handle.seek(max(size - len(ending), 0))
        if handle.read(len(ending)) != ending:
            return False
        return all(line is None or line.number == number + 1 for line in _lines(handle.read(), size))


def begin(db: sqlite3.Connection, path: Path, now: Callable[[], datetime]) -> None:
    """Writes a journal of all that the logbook holds, in place of one that doesn't go with it, which is kept.

    Within a transaction that holds the write lock and has changed nothing, and is committed next. Raises LogbookDamaged
    for what can't be read, OSError, sqlite3.Error.
    """
    journal = journal_of(path)
    everything = [(table, row) for table in (*TABLES, "settings") for row in rows(db, table)]
    parts = [everything[start : start + _ROWS] for start in range(0, len(everything), _ROWS)]
    lines = [_written(number, schema_of(db), part) for number, part in enumerate(parts, start=1)]
    with temporary_file(journal.name, journal.parent) as temporary:
        temporary.write_bytes(b"".join(lines))
        finish(temporary, journal.name, like=path)
        if journal.is_file() and journal.stat().st_size:
            placed(journal, copies_folder(path) / f"{path.stem}-{now():%Y-%m-%d-%H%M%S}{SUFFIX}")
        temporary.replace(journal)
    flush_folder(journal.parent)
    _stand(db, len(lines), sum(map(len, lines)), _check_of(lines[-1]) if lines else "")


@contextmanager
def noted(db: Recording, path: Path) -> Iterator[None]:
    """Puts what was written since the transaction began into the journal, on disk, before the commit inside.

    The line is taken out again where the commit fails. Raises OSError, sqlite3.Error.
    """
    stands = _stands(db)
    if not db.written or stands is None:
        yield
        return
    number = stands[0] + 1
    line = _written(number, schema_of(db), db.written)
    with journal_of(path).open("r+b", buffering=0) as handle:
        before = handle.seek(0, os.SEEK_END)
        if before:
            handle.seek(before - 1)
            line = line if handle.read(1) == b"\n" else b"\n" + line  # a kill tore the one before
        try:
            _stand(db, number, before + len(line), _check_of(line))
            rest = memoryview(line)
            while rest:
                rest = rest[handle.write(rest) :]
            os.fsync(handle.fileno())
            yield
        except BaseException:
            if db.in_transaction:
                handle.truncate(before)
            raise


def replay(db: sqlite3.Connection, found: Journal) -> int:
    """Does over again in an empty database all that the journal says; returns how many rows didn't fit.

    Raises sqlite3.Error, LogbookDamaged.
    """
    unfit = 0
    for line in found.lines:
        if schema_of(db) < line.schema:
            take_steps(db, STEPS[: line.schema])
            known = {table: {row[1] for row in db.execute(f"PRAGMA table_info({table})")} for table in KEYS}
        with transaction(db, "DEFERRED"):
            for table, row in line.rows:
                try:
                    if not known.get(table, set()).issuperset(row):  # names go into the statement
                        raise KeyError
                    if table == "settings":
                        put(db, row["name"], row["value"])
                    else:
                        add(db, table, row)
                except (sqlite3.Error, ValueError, KeyError, TypeError, OverflowError):
                    unfit += 1
    return unfit


def differences(db: sqlite3.Connection, path: Path) -> list[str]:
    """Where the logbook holds something else than its journal says, and what of that can't be read, a sentence each.

    Empty where there is no journal that goes with it. Within a transaction. Raises OSError, sqlite3.Error.
    """
    stands = _stands(db)
    if stands is None or not stands[0] or not follows(db, path):
        return []
    found = read(journal_of(path), up_to=stands[0])
    if found.missing:
        return [
            f"{found.missing} line{'s' * (found.missing > 1)} of its journal {journal_of(path)} can't be read; move "
            "the journal away, and the next shot begins it anew."
        ]
    wrong = []
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as other:
        replay(other, found)
        for table, keys in KEYS.items():
            all_rows = f"SELECT * FROM {table}"
            theirs = {row[: len(keys)]: row for row in other.execute(all_rows)}
            mine = [row[: len(keys)] for row in db.execute(all_rows) if theirs.pop(row[: len(keys)], None) != row]
            wrong += [
                f"{' '.join(map(str, ('Row', *key)))} of {table} isn't as the journal has it."
                for key in (*mine, *theirs)
            ]
    return wrong


def stand(db: sqlite3.Connection, found: Journal | None) -> None:
    """Lets the journal that the logbook was made of be carried on; None: be begun anew when something is written."""
    db.execute("DELETE FROM journal")
    if found is not None:
        last = found.lines[-1]
        _stand(db, last.number, last.end, last.check)


def _stand(db: sqlite3.Connection, number: int, size: int, check: str) -> None:
    db.execute("INSERT OR REPLACE INTO journal VALUES (1, ?, ?, ?)", (number, size, check))


def _stands(db: sqlite3.Connection) -> tuple[int, int, str] | None:
    """The number, end and check of the line up to which the logbook stands."""
    row: tuple[int, int, str] | None = db.execute('SELECT line, size, "check" FROM journal').fetchone()
    return row


def _written(number: int, schema: int, rows: Sequence[Row]) -> bytes:
    values = {"line": number, "schema": schema, "rows": rows}
    with error_translation.reading_back():
        text = json.dumps(values, ensure_ascii=False, separators=(",", ":"), allow_nan=False)[:-1].encode()
    return text + _ending(f"{crc32(text):08x}") + b"\n"


def _ending(check: str) -> bytes:
    return f',"check":"{check}"}}'.encode()


def _check_of(line: bytes) -> str:
    return line[-11:-3].decode()


def _lines(text: bytes, start: int) -> Iterator[Line | None]:
    """Each line of a stretch of a journal that begins at `start`; None for one that can't be read."""
    for line in text.split(b"\n"):
        start += len(line) + 1
        body, _, _ = line.rpartition(b',"check":"')
        check = f"{crc32(body):08x}"
        if not body or line != body + _ending(check):
            if line:
                yield None
            continue
        try:
            values = json.loads(body + b"}")
            number, schema = values["line"], values["schema"]
            written = [(table, dict(row)) for table, row in values["rows"]]
            if not all(isinstance(it, int) and it >= 1 for it in (number, schema)):
                raise ValueError
        except (ValueError, KeyError, TypeError, RecursionError):  # never written here
            yield None
        else:
            yield Line(number=number, schema=schema, rows=written, check=check, end=start)
