from __future__ import annotations

import sqlite3
from contextlib import closing

import pytest

from dialopt.errors import LogbookDamaged, LogbookError, LogbookLocked
from dialopt.logbook import file
from dialopt.logbook.book import Logbook
from dialopt.logbook.journal import _written, journal_of
from dialopt.logbook.restore import CopyUnusable, NothingWrong, dated_copies, held, restored, state_of
from dialopt.logbook.schema import STEPS
from tests.logbook.conftest import spoil


@pytest.fixture
def path(home, clock, a_pairing, a_shot):
    """A logbook with five shots in a dated copy and four more."""
    with Logbook.open(home, now=clock) as book:
        number = book.save_pairing(a_pairing())
        book.make_current(number)
        for grind in range(5):
            book.log(number, a_shot(grind=grind, score=7, note=f"{grind} " * 60))
        book.back_up()
        for grind in range(5, 9):
            book.log(number, a_shot(grind=grind, score=8, note=f"{grind} " * 60))
        return book.path


def _shots(path, clock):
    with Logbook.open(path.parent, now=clock) as book:
        assert book.check() == []
        return book.shots(1)


def _copy(path):
    return next((path.parent / "backups").glob("logbook-2031-04-09-*.db"))


def _restored(path, clock, source=None, **rest):
    return restored(path, source or _copy(path), now=clock, wait_s=0.2, **rest)


def test_back_to_a_copy_and_the_damaged_file_is_kept(path, clock, a_shot):
    damaged, told = spoil(path, 100), journal_of(path).read_bytes()
    with pytest.raises(LogbookDamaged):
        Logbook.open(path.parent, now=clock)
    end = _restored(path, clock)
    assert len(_shots(path, clock)) == end.logbook.shots == 5
    assert end.aside.name.startswith("logbook-damaged-2031-04-09-")
    assert end.aside.read_bytes() == damaged
    names = {"logbook.db", "logbook.jsonl", "backups", end.aside.name}
    assert {one.name for one in path.parent.iterdir()} == names
    assert journal_of(path).read_bytes() == told, "until something is written"
    with Logbook.open(path.parent, now=clock) as book:
        book.log(1, a_shot())
    (kept,) = (path.parent / "backups").glob("*.jsonl")
    assert kept.read_bytes() == told
    assert len(_shots(path, clock)) == 6


def test_a_whole_logbook_is_replaced_only_on_purpose_and_kept(path, clock):
    before = _shots(path, clock)
    with pytest.raises(NothingWrong, match="whole"):
        _restored(path, clock)
    assert _shots(path, clock) == before
    end = _restored(path, clock, replace=True)
    assert len(_shots(path, clock)) == 5
    assert end.aside.parent.name == "backups"
    _restored(path, clock, end.aside, replace=True)
    assert _shots(path, clock) == before


def test_a_logbook_of_a_newer_version_can_be_gone_back_from(path, clock):
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 99")
    with pytest.raises(NothingWrong, match="newer dialopt"):
        _restored(path, clock)
    end = _restored(path, clock, replace=True)
    assert len(_shots(path, clock)) == 5
    assert held(end.aside).problem == "it was written by a newer dialopt"


def test_a_damaged_copy_is_listed_last_and_refused(path, clock):
    spoil(path, 4096 * 3)
    before = path.read_bytes()
    good = _copy(path)
    bad = good.with_name("logbook-2031-05-01-000000.db")
    bad.write_bytes(before)
    copies = dated_copies(path)
    assert (copies[0].path, copies[-1].path, copies[-1].problem) == (good, bad, "it is damaged")
    with pytest.raises(CopyUnusable, match=r"2031-05-01-000000\.db can't be used: it isn't whole\. .+ Nothing was ch"):
        _restored(path, clock, bad)
    assert path.read_bytes() == before
    assert _restored(path, clock, good).source == good


def test_what_is_no_copy_and_no_journal_is_refused(path, clock, tmp_path):
    before = spoil(path, 0)
    other = tmp_path / "other.db"
    with closing(sqlite3.connect(other)) as db:
        db.execute("CREATE TABLE t (x)")
    text, newer, wrong = (tmp_path / name for name in ("text.db", "newer.jsonl", "wrong.jsonl"))
    text.write_text("no database " * 100)
    newer.write_bytes(_written(1, len(STEPS) + 1, [("pairings", {"id": 1})]))
    wrong.write_text('{"line":1}\n')
    for source, why in (
        (other, "it isn't a dialopt logbook"),
        (text, "it is damaged"),
        (newer, "it was written by a newer dialopt"),
        (wrong, "it isn't a journal of dialopt, or nothing of it can be read"),
    ):
        with pytest.raises(CopyUnusable, match=why):
            _restored(path, clock, source)
        assert held(source).problem == why
    assert path.read_bytes() == before
    assert not list(path.parent.glob(".*")), "nothing half done is left"


def test_values_that_were_never_written_are_refused_from_a_journal_too(path, clock):
    journal = journal_of(path)
    wrong = _written(99, len(STEPS), [("grinders", {"id": 9} | dict.fromkeys(("known_as", "saved_at", "name"), "x"))])
    journal.write_bytes(journal.read_bytes() + wrong)
    path.unlink()
    assert _restored(path, clock, journal).unfit == 1, "columns are missing"
    machine = {"id": 9, "known_as": "x", "saved_at": "2031", "name": "x"}
    machine |= {"temp_c_low": 96, "temp_c_high": 88, "temp_c_step": 1}
    journal.write_bytes(journal.read_bytes() + _written(99, len(STEPS), [("machines", machine)]))
    with pytest.raises(CopyUnusable, match=r"it isn't whole\. Row 9 of machines holds what was never written"):
        _restored(path, clock, journal, replace=True)


def test_a_missing_logbook_and_a_folder_in_its_place(path, clock):
    copy = _copy(path)
    path.unlink()
    assert _restored(path, clock, copy).aside is None
    assert len(_shots(path, clock)) == 5
    path.unlink()
    path.mkdir()
    (path / "inside").write_text("mine")
    end = _restored(path, clock, copy)
    assert (end.aside / "inside").read_text() == "mine"
    assert len(_shots(path, clock)) == 5


def test_a_logbook_in_use_is_left_alone(path, clock):
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogbookLocked):
            _restored(path, clock, replace=True)
    assert len(_shots(path, clock)) == 9


def test_nobody_logs_into_a_file_that_is_being_set_aside(path, clock, a_shot, monkeypatch):
    asked = []

    def meanwhile(*about, **how):
        with Logbook.open(path.parent, now=clock, wait_s=0.05) as book, pytest.raises(LogbookLocked):
            book.log(1, a_shot())
        asked.append(True)

    from dialopt.logbook import restore

    monkeypatch.setattr(restore, "finish", meanwhile)
    _restored(path, clock, replace=True)
    assert asked == [True]
    assert len(_shots(path, clock)) == 5


def test_a_copy_of_any_earlier_schema_is_brought_up_to_date(home, clock):
    folder = home / "backups"
    folder.mkdir(parents=True)
    for schema in range(1, len(STEPS)):
        file.lay_out(folder / f"old-{schema}.db", STEPS[:schema])
        end = _restored(home / "logbook.db", clock, folder / f"old-{schema}.db", replace=True)
        assert (end.logbook.problem, end.logbook.shots) == (None, 0)
        with Logbook.open(home, now=clock) as book:
            assert book.check() == []


def test_nothing_is_logged_into_a_file_that_was_moved(path, clock, a_shot):
    with Logbook.open(path.parent, now=clock) as book:
        path.rename(path.with_name("moved.db"))
        with pytest.raises(LogbookError, match="moved or replaced"):
            book.log(1, a_shot())
        file.lay_out(path, STEPS)
        with pytest.raises(LogbookError, match="moved or replaced"):
            book.log(1, a_shot())


def test_a_rollback_file_of_a_logbook_that_was_moved_away_is_not_taken_for_the_new_ones(path, clock):
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA cache_spill = 1")
        db.execute("PRAGMA cache_size = 1")
        db.execute("BEGIN IMMEDIATE")
        db.execute("DROP TRIGGER shots_no_update")
        db.execute("UPDATE shots SET note = hex(randomblob(4000))")
        rollback = file.rollback_of(path).read_bytes()  # as a kill would leave it
        db.execute("ROLLBACK")
    assert len(rollback) > 4096
    path.unlink()
    journal_of(path).unlink()
    file.rollback_of(path).write_bytes(rollback)
    with Logbook.open(path.parent, now=clock) as book:
        assert (book.check(), book.pairings()) == ([], [])
    assert (path.parent / "logbook.db-journal-left-1").read_bytes() == rollback


def test_what_is_there_is_told(path, clock):
    assert state_of(path, now=clock, wait_s=0.2).sound
    (journal, copy) = (held(journal_of(path)), held(_copy(path)))
    assert (journal.shots, journal.operations, copy.shots, copy.pairings) == (9, 9, 5, 1)
    assert journal.last_at > copy.last_at
    spoil(path, 0)
    state = state_of(path, now=clock, wait_s=0.2)
    assert (state.there, state.sound) == (True, False)
    assert "not a database" in state.why
    path.unlink()
    assert state_of(path, now=clock, wait_s=0.2).why == f"There is no logbook at {path}."
