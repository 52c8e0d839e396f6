from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import datetime

import pytest

from dialopt.logbook import backup
from dialopt.logbook.book import Logbook


def test_a_copy_is_a_logbook_of_its_own(book, home, tmp_path, clock, a_pairing, a_shot):
    number = book.save_pairing(a_pairing())
    book.log(number, a_shot(score=8))
    copy = book.back_up()
    book.log(number, a_shot(score=2))
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "logbook.db").write_bytes(copy.read_bytes())
    with Logbook.open(elsewhere, now=clock) as restored:
        assert restored.shots(number) == [a_shot(score=8)]


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


def test_place_without_hard_links_still_never_replaces(tmp_path, monkeypatch):
    def no_links(*_: object) -> None:
        raise PermissionError("no hard links here")

    monkeypatch.setattr(backup.os, "link", no_links)
    half, final = tmp_path / "half", tmp_path / "final"
    half.write_text("one")
    backup.place(half, final)
    assert final.read_text() == "one"
    half.write_text("two")
    with pytest.raises(FileExistsError):
        backup.place(half, final)
    assert final.read_text() == "one"
