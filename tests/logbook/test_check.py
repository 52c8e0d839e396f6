from __future__ import annotations

import sqlite3
from contextlib import closing

import pytest

from dialopt.errors import LogbookDamaged


def test_a_whole_logbook_has_no_findings(book, a_pairing, a_shot):
    book.log(book.save_pairing(a_pairing()), a_shot())
    assert book.check() == []


def test_a_missing_row_is_found(book):
    with closing(sqlite3.connect(book.path, isolation_level=None)) as other:
        other.execute("INSERT INTO acts (pairing_id, kind, at) VALUES (7, 'log', '2031-04-09')")
    assert book.check() == ["Row 1 of acts refers to a row of pairings that is missing."]


def test_overwritten_pages_are_found_not_trusted(book, a_pairing, a_shot):
    number = book.save_pairing(a_pairing())
    for grind in range(60):
        book.log(number, a_shot(grind=grind, note="z" * 800))
    data = bytearray(book.path.read_bytes())
    page = data.index(b"z" * 800) // 4096 * 4096
    data[page : page + 200] = b"\xa5" * 200
    book.path.write_bytes(data)
    book._db.execute("PRAGMA shrink_memory")
    with pytest.raises(LogbookDamaged, match="malformed"):
        book.shots(number)


def test_a_value_that_was_never_written_is_damage(book, a_pairing, a_shot):
    number = book.save_pairing(a_pairing())
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


def test_a_value_that_could_have_been_is_held_against_the_journal(book, a_pairing, a_shot):
    book.log(book.save_pairing(a_pairing()), a_shot(score=7))
    book._db.execute("DROP TRIGGER shots_no_update")
    book._db.execute("UPDATE shots SET score = 5")
    assert book.check() == ["Row 1 of shots isn't as the journal has it."]
