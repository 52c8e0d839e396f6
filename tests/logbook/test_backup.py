from __future__ import annotations

import sqlite3
import stat
import sys
from contextlib import closing
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt.errors import LogbookDamaged
from dialopt.logbook import backup
from dialopt.logbook.book import Logbook
from dialopt.logbook.journal import journal_of
from tests.logbook.conftest import spoil


def test_copies_of_one_second_do_not_replace_each_other(book):
    moment = datetime(2031, 4, 9, 7, 15)
    names = [backup.dated_copy(book.path, moment).name for _ in range(3)]
    assert names == ["logbook-2031-04-09-071500.db", "logbook-2031-04-09-071500-2.db", "logbook-2031-04-09-071500-3.db"]


def test_a_failed_copy_leaves_nothing(tmp_path):
    path = tmp_path / "logbook.db"
    path.write_text("no database " * 100)
    with pytest.raises(sqlite3.DatabaseError):
        backup.dated_copy(path, datetime(2031, 4, 9))
    assert list((tmp_path / "backups").iterdir()) == []


def test_a_copy_is_taken_while_another_process_holds_the_write_lock(book):
    with closing(sqlite3.connect(book.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert book.back_up().is_file()


def test_the_first_write_of_a_day_makes_its_copy(home, clock, a_pairing, a_shot):
    for day in range(3):
        clock.time = datetime(2031, 4, 9, 7) + timedelta(days=day)
        for score in (5, 6):
            with Logbook.open(home, now=clock) as book:
                book.log(book.save_pairing(a_pairing()), a_shot(score=score))
                book.shots(1)
    copies = sorted((home / "backups").iterdir())
    assert [copy.name for copy in copies] == [f"logbook-2031-04-{day}.db" for day in ("09", "10", "11")]
    with closing(sqlite3.connect(copies[1])) as db:
        assert db.execute("SELECT count(*) FROM shots").fetchone() == (2,), "as it was before anything was written"


def test_only_reading_and_what_is_in_the_way_of_a_copy_make_none(book, home, a_pairing, a_shot):
    (home / "backups").write_text("mine")
    book.log(book.save_pairing(a_pairing()), a_shot())
    assert book.log(1, a_shot()) == 2
    assert (home / "backups").read_text() == "mine"
    (home / "backups").unlink()
    with Logbook.open(home, now=datetime.now) as other:
        other.shots(1)
    assert not (home / "backups").exists()


def test_nothing_is_written_into_a_damaged_logbook_on_a_new_day(book, home, clock, a_pairing, a_shot):
    book.log(book.save_pairing(a_pairing()), a_shot(note="z" * 800))
    book.close()
    spoil(book.path, book.path.read_bytes().index(b"z" * 800) // 4096 * 4096, size=200)
    with Logbook.open(home, now=clock) as damaged, pytest.raises(LogbookDamaged):
        damaged.log(1, a_shot())
    assert list((home / "backups").iterdir()) == []


@given(st.sets(st.dates(date(2031, 1, 1), date(2033, 1, 1)), max_size=120))
def test_what_is_worth_keeping_is_recent_and_reaches_back(days):
    kept = backup.worth_keeping(days)
    latest = sorted(days)[-7:]
    assert kept <= days
    assert len(kept) <= 7 + 4 + 12
    assert kept.issuperset(latest)
    weeks = sorted({day.isocalendar()[:2] for day in days})[-4:]
    assert {day.isocalendar()[:2] for day in kept}.issuperset(weeks)
    months = sorted({(day.year, day.month) for day in days})[-12:]
    assert {(day.year, day.month) for day in kept}.issuperset(months)
    assert backup.worth_keeping(kept) == kept, "thinning again takes no more"


def test_thinning_takes_only_copies_of_the_day(book):
    folder = backup.copies_folder(book.path)
    first = date(2031, 1, 1)
    days = [first + timedelta(days=number) for number in range(100)]
    others = ["logbook-2031-01-01-071500.db", "logbook-2031-13-01.db", "other-2031-01-01.db", "logbook-2031-01-01.txt"]
    for name in (*(f"logbook-{day}.db" for day in days), *others):
        (folder / name).touch()
    backup.thin(book.path, first)
    left = {one.name for one in folder.iterdir()}
    assert left == {*others, *(f"logbook-{day}.db" for day in (*backup.worth_keeping(days), first))}


@pytest.mark.skipif(sys.platform == "win32", reason="modes are POSIX's")
def test_nobody_else_may_read_a_new_logbook_its_journal_and_copies(book, home, a_pairing, a_shot):
    book.log(book.save_pairing(a_pairing()), a_shot())
    book.log(1, a_shot())
    copy = book.back_up()
    assert (stat.S_IMODE(home.stat().st_mode), stat.S_IMODE(copy.parent.stat().st_mode)) == (0o700, 0o700)
    files = [book.path, journal_of(book.path), *copy.parent.iterdir()]
    assert [stat.S_IMODE(one.stat().st_mode) for one in files] == [0o600] * 4
    book.path.chmod(0o640)
    assert stat.S_IMODE(book.back_up().stat().st_mode) == 0o640, "a copy is for those who may read the logbook"
