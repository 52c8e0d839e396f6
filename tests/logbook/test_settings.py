from __future__ import annotations

import sqlite3

from dialopt.logbook.book import Logbook


def test_pregnancy_is_kept_until_it_is_taken_back_and_leaves_no_trace(book, home, clock, a_pairing):
    book.make_current(book.save_pairing(a_pairing()))
    assert book.pregnant() is False
    book.set_pregnant(True)
    book.set_pregnant(True)
    with Logbook.open(home, now=clock) as other:
        assert other.pregnant() is True
    book.set_pregnant(False)
    book.set_pregnant(False)
    assert book.pregnant() is False
    db = sqlite3.connect(home / "logbook.db")
    assert [name for (name,) in db.execute("SELECT name FROM settings")] == ["current pairing"]
    db.close()
    assert book.current().id == 1
