from __future__ import annotations

import sqlite3
from contextlib import closing

import pytest

from dialopt.errors import LogbookDamaged
from dialopt.logbook import file
from dialopt.logbook.book import Logbook
from dialopt.logbook.schema import STEPS, statements

WITH_WATER = statements(
    "CREATE TABLE waters (id INTEGER PRIMARY KEY, name TEXT NOT NULL) STRICT",
    "INSERT INTO waters (name) VALUES ('tap')",
)
WITH_CUPS = statements("ALTER TABLE settings ADD COLUMN cups INTEGER")


def _boom(db: sqlite3.Connection) -> None:
    db.execute("CREATE TABLE halfway (id INTEGER PRIMARY KEY) STRICT")
    raise RuntimeError("power cut")


@pytest.fixture
def old(home, clock, a_pairing, a_shot):
    with Logbook.open(home, now=clock) as book:
        book.log(book.save_pairing(a_pairing()), a_shot(score=6.5))
        return book.path


def _open(path, clock, *more):
    return closing(file.opened(path, now=clock, wait_s=0.2, steps=(*STEPS, *more)))


def _version(db: sqlite3.Connection) -> int:
    return db.execute("PRAGMA user_version").fetchone()[0]


def test_steps_are_taken_after_a_dated_copy(old, clock):
    with _open(old, clock, WITH_WATER, WITH_CUPS) as db:
        assert _version(db) == len(STEPS) + 2
        assert db.execute("SELECT name FROM waters").fetchall() == [("tap",)]
        assert db.execute("PRAGMA foreign_keys").fetchone() == (1,)
    (copy,) = (old.parent / "backups").iterdir()
    assert copy.name == f"logbook-{clock.time:%Y-%m-%d-%H%M%S}.db"
    with closing(sqlite3.connect(copy)) as db:
        assert _version(db) == len(STEPS)
        assert db.execute("SELECT score FROM shots").fetchall() == [(6.5,)]
        assert db.execute("SELECT name FROM sqlite_schema WHERE name = 'waters'").fetchall() == []


def test_opening_again_takes_no_step_and_no_copy(old, clock):
    for _ in range(2):
        with _open(old, clock, WITH_WATER):
            pass
    assert len(list((old.parent / "backups").iterdir())) == 1


def test_a_step_that_fails_leaves_the_schema_before_it(old, clock):
    with pytest.raises(RuntimeError, match="power cut"), _open(old, clock, WITH_WATER, _boom):
        pass
    with _open(old, clock, WITH_WATER) as db:  # the good step stands, number included
        assert _version(db) == len(STEPS) + 1
        assert db.execute("SELECT name FROM sqlite_schema WHERE name = 'halfway'").fetchall() == []


def test_a_step_that_breaks_a_reference_is_refused(old, clock):
    orphan = statements("INSERT INTO acts (pairing_id, kind, at) VALUES (99, 'log', '2031-04-09')")
    with pytest.raises(LogbookDamaged, match="row of acts refers to a row of pairings"), _open(old, clock, orphan):
        pass
    with _open(old, clock) as db:
        assert _version(db) == len(STEPS)


def test_a_new_logbook_needs_no_copy(home, clock):
    with _open(home / "logbook.db", clock, WITH_WATER, WITH_CUPS) as db:
        assert _version(db) == len(STEPS) + 2
    assert not (home / "backups").exists()


def test_two_processes_that_migrate_at_once_take_each_step_once(old, clock):
    def with_a_rival(db: sqlite3.Connection) -> None:
        # While this step holds the lock, the rival must wait, not take the step as well.
        with pytest.raises(file.LogbookError, match="Another process"):
            file.opened(old, now=clock, wait_s=0.05, steps=(*STEPS, WITH_WATER))
        WITH_WATER(db)

    with _open(old, clock, with_a_rival) as db:
        assert db.execute("SELECT count(*) FROM waters").fetchone() == (1,)
