from __future__ import annotations

import sqlite3
from contextlib import closing

import pytest

from dialopt.errors import LogbookDamaged
from dialopt.logbook.schema import TABLES
from tests.logbook.conftest import spoil


def test_a_missing_row_is_found(book):
    with closing(sqlite3.connect(book.path, isolation_level=None)) as other:
        other.execute("INSERT INTO acts (pairing_id, kind, at) VALUES (7, 'log', '2031-04-09')")
    assert book.check() == ["Row 1 of acts refers to a row of pairings that is missing."]


def test_overwritten_pages_are_found_not_trusted(book, number, a_shot):
    for grind in range(60):
        book.log(number, a_shot(grind=grind, note="z" * 800))
    spoil(book.path, book.path.read_bytes().index(b"z" * 800) // 4096 * 4096, size=200)
    book._db.execute("PRAGMA shrink_memory")
    with pytest.raises(LogbookDamaged, match="malformed"):
        book.shots(number)


def test_a_value_that_was_never_written_is_damage(book, number, a_shot):
    book.log(number, a_shot())
    book._db.execute("DROP TRIGGER shots_no_update")
    book._db.execute("UPDATE shots SET score = 75")
    with pytest.raises(LogbookDamaged, match="score can't be 75"):
        book.shots(number)
    (said,) = book.check()
    assert said.startswith("Row 1 of shots holds what was never written: score can't be 75")
    book._db.execute("DROP TRIGGER grinders_no_update")
    book._db.execute("UPDATE grinders SET purge_g = -5")
    assert "Row 1 of grinders holds what was never written: purge_g can't be -5" in " ".join(book.check())


# What the file itself refuses.


def test_every_table_is_strict(book):
    tables = book._db.execute(
        "SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND name NOT LIKE 'sqlite%'"
    ).fetchall()
    assert {name for name, _ in tables} == {*TABLES, "settings", "journal"}
    assert all(strict for _, strict in tables)


def test_a_wrong_type_is_refused_by_the_file_itself(book, number, a_shot):
    book.log(number, a_shot())
    with pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT value in REAL column"):
        book._db.execute(
            "INSERT INTO shots (act_id, pairing_id, number, revision, grind, dose_g, temp_c) "
            "VALUES (1, 1, 2, 1, 'fine', 18, 93)"
        )


def test_a_shot_without_a_pairing_is_refused_by_the_file_itself(book):
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        book._db.execute("INSERT INTO acts (pairing_id, kind, at) VALUES (7, 'log', '2031-04-09')")


def test_no_later_code_can_rewrite_what_was_noted(book, number, a_shot):
    book.log(number, a_shot())
    for statement in ("UPDATE shots SET score = 10", "DELETE FROM shots", "DELETE FROM acts", "DELETE FROM beans"):
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            book._db.execute(statement)
