from __future__ import annotations

import os
import random
import sqlite3
from contextlib import closing

import pytest
from dialopt.logbook.copies import dated_copies, held
from dialopt.logbook.rebuild import CopyUnusable

from dialopt.errors import LogbookDamaged, LogbookError, LogbookLocked, Refused
from dialopt.logbook import backup, check, file, schema_pages
from dialopt.logbook.book import Logbook
from dialopt.logbook.restore import NothingWrong, restored, state_of
from dialopt.logbook.schema import STEPS


@pytest.fixture
def path(home, clock, a_pairing, a_shot):
    """A logbook with five shots in a dated copy and five more, one of them amended and one undone."""
    with Logbook.open(home, now=clock) as book:
        number = book.save_pairing(a_pairing())
        book.make_current(number)
        for grind in range(5):
            book.log(number, a_shot(grind=grind, score=7, note=f"{grind} " * 60))
        book.back_up()
        for grind in range(5, 11):
            book.log(number, a_shot(grind=grind, score=8, note=f"{grind} " * 60))
        book.amend(number, 7, a_shot(grind=6, score=2))
        book.undo(number)
        book.undo(number)
        book.set_pregnant(True)
        book.amend(number, 6, a_shot(grind=5, score=3))
        return book.path


def _shots(path, clock):
    with Logbook.open(path.parent, now=clock) as book:
        return book.shots(1)


def _restored(path, clock, *chosen, **rest):
    chosen = chosen or (next((path.parent / "backups").iterdir()),)
    return restored(path, chosen, now=clock, wait_s=0.2, **rest)


def _spoil_table(path, table):
    """Damages all that a small table holds."""
    with closing(sqlite3.connect(path)) as db:
        (page,) = db.execute("SELECT rootpage FROM sqlite_schema WHERE name = ?", (table,)).fetchone()
    _spoil(path, (page - 1) * schema_pages.PAGE, size=schema_pages.PAGE)


def _spoil(path, *places, size=40):
    data = bytearray(path.read_bytes())
    for place in places:
        data[place : place + size] = b"\xa5" * size
    path.write_bytes(bytes(data))
    return bytes(data)


def test_what_the_damaged_file_still_yields_is_added_to_the_copy(path, clock):
    before = _shots(path, clock)
    damaged = _spoil(path, 100)  # the header of the page that everything is found by
    with pytest.raises(LogbookDamaged):
        Logbook.open(path.parent, now=clock)
    end = _restored(path, clock)
    assert _shots(path, clock) == before
    with Logbook.open(path.parent, now=clock) as book:
        assert (book.check(), book.pregnant(), book.current().id) == ([], True, 1)
        assert [act.undone_at is not None for act in book.history(1)].count(True) == 2
    assert end.aside is not None
    assert end.aside.name.startswith("logbook-damaged-2031-04-09-")
    assert end.aside.read_bytes() == damaged
    assert (end.salvaged.lost, end.logbook.shots) == (0, len(before))
    assert {one.name for one in path.parent.iterdir()} == {"logbook.db", "backups", end.aside.name}


def test_a_column_whose_name_was_damaged_is_known_by_the_copy(path, clock):
    before = _shots(path, clock)
    data = path.read_bytes()
    assert data.count(b"tds_pct REAL") == 1
    path.write_bytes(data.replace(b"tds_pct REAL", b"tds_pbt REAL"))
    assert "rows 1–13 can't be read" in state_of(path, now=clock, wait_s=0.2).why
    with pytest.raises(CopyUnusable, match="Nothing can be read"):
        _restored(path, clock, None)
    assert _restored(path, clock).salvaged.lost == 0
    assert _shots(path, clock) == before


def test_without_a_copy_the_damaged_file_alone_is_read(path, clock):
    before = _shots(path, clock)
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA writable_schema = ON")
        db.execute("UPDATE sqlite_schema SET rootpage = 3 WHERE name = 'shots_act'")
    assert "damaged" in state_of(path, now=clock, wait_s=0.2).why
    end = _restored(path, clock, None)
    assert end.copy is None
    assert _shots(path, clock) == before


def test_a_changed_value_is_found_and_the_copys_is_taken(path, clock, a_shot):
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("DROP TRIGGER shots_no_update")
        db.execute("UPDATE shots SET score = 6.5 WHERE id IN (2, 9)")
        assert [finding[:14] for finding in check.findings(db)] == ["Row 2 of shots", "Row 9 of shots"]
    with Logbook.open(path.parent, now=clock) as book, pytest.raises(LogbookDamaged, match="isn't as it was written"):
        book.shots(1)
    end = _restored(path, clock)
    assert end.salvaged.lost == 1
    scores = {shot.recipe.grind: shot.score for shot in _shots(path, clock)}
    assert scores == {0: 7, 1: 7, 2: 7, 3: 7, 4: 7, 5: 3, 6: 8, 7: 8, 9: 8}  # 8 was in row 9, 10 was undone


def test_random_damage_never_adds_a_shot_that_never_was(path, clock):
    before, sound = _shots(path, clock), path.read_bytes()
    copied = [shot for shot in before if shot.recipe.grind < 5]
    kept = 0
    for seed in range(12):
        rng = random.Random(seed)
        data = bytearray(sound)
        for _ in range(60):
            data[rng.randrange(len(data))] ^= rng.randrange(1, 256)
        path.write_bytes(bytes(data))
        if state_of(path, now=clock, wait_s=0.2).sound:
            continue
        _restored(path, clock)
        now = _shots(path, clock)
        assert now[:5] == copied
        # Where an amendment was lost, the shot stands as first noted.
        assert {shot.recipe.grind for shot in now} <= {shot.recipe.grind for shot in before} | {10}
        kept += len(now) - 5
    assert kept > 20


def test_a_whole_logbook_is_replaced_only_on_purpose_and_kept(path, clock):
    before = _shots(path, clock)
    with pytest.raises(NothingWrong, match="whole"):
        _restored(path, clock)
    assert _shots(path, clock) == before
    end = _restored(path, clock, replace=True)
    assert (end.salvaged, len(_shots(path, clock))) == (None, 5)
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
    assert held(end.aside).trouble == "it was written by a newer dialopt"


def test_a_damaged_copy_is_passed_over_and_a_worse_one_refused(path, clock):
    _spoil(path, 4096 * 3)
    before = path.read_bytes()
    good = next((path.parent / "backups").iterdir())
    bad = good.with_name("logbook-2031-05-01-000000.db")
    bad.write_bytes(before)
    assert [copy.trouble for copy in dated_copies(path)] == [None, "it is damaged"]
    with pytest.raises(CopyUnusable, match="isn't whole"):
        _restored(path, clock, bad)
    assert path.read_bytes() == before
    assert _restored(path, clock, bad, good).copy == good


def test_another_programs_file_is_no_copy(path, clock, tmp_path):
    _spoil(path, 0)
    other = tmp_path / "other.db"
    with closing(sqlite3.connect(other)) as db:
        db.execute("CREATE TABLE t (x)")
    with pytest.raises(CopyUnusable, match="isn't a dialopt logbook"):
        _restored(path, clock, other)
    other.write_text("no database " * 100)
    with pytest.raises(Refused):
        _restored(path, clock, other)


def test_a_logbook_of_another_history_is_not_mixed_in(path, clock, home, a_pairing, a_shot, tmp_path):
    with Logbook.open(tmp_path / "theirs", now=clock) as book:
        number = book.save_pairing(a_pairing())
        for grind in range(9):
            book.log(number, a_shot(grind=grind + 20))
        theirs = book.path
    _spoil(theirs, schema_pages.PAGE * 2)
    end = restored(theirs, [next((home / "backups").iterdir())], now=clock, wait_s=0.2)
    assert end.salvaged is None
    assert len(_shots(theirs, clock)) == 5


def test_a_missing_logbook_and_a_folder_in_its_place(path, clock):
    copy = next((path.parent / "backups").iterdir())
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
    assert len(_shots(path, clock)) > 5


def test_a_copy_of_the_first_schema_is_brought_up_to_date(home, clock):
    home.mkdir()
    folder = home / "backups"
    folder.mkdir()
    file.lay_out(folder / "old.db", STEPS[:1])
    end = _restored(home / "logbook.db", clock, folder / "old.db")
    assert (end.logbook.trouble, end.logbook.shots) == (None, 0)
    with Logbook.open(home, now=clock) as book:
        assert book.check() == []


def test_a_damaged_logbook_is_not_backed_up(path, clock):
    _spoil(path, 4096 * 6, 4096 * 7)
    before = sorted((path.parent / "backups").iterdir())
    with pytest.raises(LogbookDamaged):
        backup.dated_copy(path, clock())
    assert sorted((path.parent / "backups").iterdir()) == before


def test_nothing_is_logged_into_a_file_that_was_moved(path, clock, a_shot):
    with Logbook.open(path.parent, now=clock) as book:
        path.rename(path.with_name("moved.db"))
        with pytest.raises(LogbookError, match="moved or replaced"):
            book.log(1, a_shot())
        file.lay_out(path, STEPS)
        with pytest.raises(LogbookError, match="moved or replaced"):
            book.log(1, a_shot())


def test_a_journal_of_a_logbook_that_was_moved_away_is_not_taken_for_the_new_ones(path, clock):
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA cache_spill = 1")
        db.execute("PRAGMA cache_size = 1")
        db.execute("BEGIN IMMEDIATE")
        db.execute("DROP TRIGGER shots_no_update")
        db.execute("UPDATE shots SET note = hex(randomblob(4000))")
        journal = file.journal_of(path).read_bytes()  # as a kill would leave it
        db.execute("ROLLBACK")
    assert len(journal) > 4096
    path.unlink()
    file.journal_of(path).write_bytes(journal)
    with Logbook.open(path.parent, now=clock) as book:
        assert (book.check(), book.pairings()) == ([], [])
    assert (path.parent / "logbook.db-journal-left-1").read_bytes() == journal


@pytest.mark.parametrize("stem", ["logbook", "report.html"])
def test_half_files_of_an_hour_ago_are_removed_and_nothing_else(stem, path):
    from dialopt.logbook.half import half_for, tidy

    folder = path.parent
    old, new, own = (
        folder / f".{stem}-2031-04-09-071500-77.half",
        folder / f".{stem}-78.half",
        folder / f".{stem}-x.half",
    )
    for one in (old, new, own):
        one.write_text("half")
    for one in (old, own):
        os.utime(one, (one.stat().st_atime, one.stat().st_mtime - 4_000))
    half = half_for(stem, folder)
    half.write_text("half")
    tidy(stem, half)
    assert [one.exists() for one in (old, new, own, half)] == [False, True, True, True]


@pytest.mark.parametrize("table", ["beans", "grinders", "machines", "baskets"])
def test_shots_that_lost_their_bean_or_kit_are_counted_apart(table, path, clock):
    there = len(_shots(path, clock))
    _spoil_table(path, table)
    end = _restored(path, clock, None)
    assert (end.logbook.pairings, end.logbook.shots, end.logbook.unlisted) == (0, 0, there)
    assert (end.salvaged.shots, end.logbook.last_at) == (0, None)
    with Logbook.open(path.parent, now=clock) as book:
        assert (book.pairings(), book.check()) == ([], [])


def test_only_the_shots_of_the_bag_that_was_lost_are_counted_apart(path, clock, a_pairing, a_shot):
    with Logbook.open(path.parent, now=clock) as book:
        there = len(book.shots(1))
        number = book.save_pairing(a_pairing(bean="quay dusk"))
        for grind in range(3):
            book.log(number, a_shot(grind=grind))
        book.amend(number, 1, a_shot(grind=9))
        book.undo(number)
        book.log(number, a_shot(grind=4))
        book.undo(number)
    _spoil_table(path, "beans")
    end = _restored(path, clock)
    assert (end.logbook.pairings, end.logbook.shots, end.logbook.unlisted) == (1, there, 3)
    with Logbook.open(path.parent, now=clock) as book:
        assert [kept.shots for kept in book.pairings()] == [there]
