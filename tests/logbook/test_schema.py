from __future__ import annotations

import sqlite3

import pytest

from dialopt.logbook.schema import TABLES


def test_every_table_is_strict(book):
    tables = book._db.execute(
        "SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND name NOT LIKE 'sqlite%'"
    ).fetchall()
    assert {name for name, _ in tables} == {*TABLES, "settings", "journal"}
    assert all(strict for _, strict in tables)


def test_a_wrong_type_is_refused_by_the_file_itself(book, a_pairing, a_shot):
    number = book.save_pairing(a_pairing())
    book.log(number, a_shot())
    with pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT value in REAL column"):
        book._db.execute(
            "INSERT INTO shots (act_id, pairing_id, number, revision, grind, dose_g, temp_c) "
            "VALUES (1, 1, 2, 1, 'fine', 18, 93)"
        )


def test_a_shot_without_a_pairing_is_refused_by_the_file_itself(book):
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        book._db.execute("INSERT INTO acts (pairing_id, kind, at) VALUES (7, 'log', '2031-04-09')")


def test_no_later_code_can_rewrite_what_was_noted(book, a_pairing, a_shot):
    number = book.save_pairing(a_pairing())
    book.log(number, a_shot())
    for statement in ("UPDATE shots SET score = 10", "DELETE FROM shots", "DELETE FROM acts", "DELETE FROM beans"):
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            book._db.execute(statement)
