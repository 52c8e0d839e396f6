"""Whatever becomes of the file, the journal has every confirmed operation; whatever becomes of it, the file goes on."""

from __future__ import annotations

import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import textwrap
from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path
from zlib import crc32

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt.errors import LogbookDamaged, LogbookError, LogbookLocked
from dialopt.logbook import check, file, journal
from dialopt.logbook.book import Logbook
from dialopt.logbook.journal import journal_of, read, replay
from dialopt.logbook.restore import restored
from dialopt.logbook.schema import KEYS, STEPS
from dialopt.trade.bean import Bean
from tests.examples import examples
from tests.logbook.conftest import Clock, pairing_of, shot_of
from tests.logbook.test_advice import advice_on


def rows_of(db):
    """All that a logbook holds, table by table."""
    return {table: sorted(db.execute(f"SELECT * FROM {table}"), key=repr) for table in KEYS}


def rows_in(path):
    """The same of a file that is closed."""
    with closing(sqlite3.connect(path)) as db:
        return rows_of(db)


def replayed(path):
    """What the journal beside the logbook tells, table by table."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as db:
        found = read(journal_of(path))
        assert (found.missing, replay(db, found)) == (0, 0)
        return rows_of(db)


def rebuilt(path, clock):
    """The logbook anew from its journal."""
    return restored(path, journal_of(path), now=clock, wait_s=0.2)


@pytest.fixture
def filled(home, clock, a_pairing, a_shot):
    """A logbook of several pages, with shots that were amended and undone."""
    with Logbook.open(home, now=clock) as book:
        book.make_current(book.save_pairing(a_pairing()))
        for grind in range(24):
            book.log(1, a_shot(grind=grind, score=7, note=f"{grind} plum 日本 \u2028" * 20))
        book.amend(1, 7, a_shot(grind=6, score=2, note='"quoted"\r\n'))
        book.undo(1)
        book.undo(1)
        book.set_pregnant(True)
        return book.path


OPERATIONS = {
    "amend a pairing": lambda book: book.amend_pairing(1, pairing_of(ratio=2.1 + len(book.pairings()) / 10)),
    "other burrs": lambda book: book.change_burrs(
        replace(book.pairing(1).pairing.grinder, burrs=f"set {len(book.pairings()) + 1}")
    ),
    "log": lambda book: book.log(1, shot_of(grind=len(book.shots(1)) % 40, score=6.5, balance=-1)),
    "import": lambda book: book.import_shots(
        1, [shot_of(grind=17.25, tds_pct=9.1), shot_of(note=f"{len(book.history(1))}")], "week.csv"
    ),
    "receive": lambda book: book.receive(
        pairing_of(taster=f"Somebody {len(book.pairings())}"), [shot_of(time_s=20 + len(book.pairings()) / 7)], "sent"
    ),
    "amend": lambda book: (
        book.shots(1)
        and book.amend(1, book.entries(1)[-1].number, shot_of(grind=3, note=f"anew {len(book.history(1))}"))
    ),
    "undo": lambda book: book.shots(1) and book.undo(1),
    "advise": lambda book: book.keep_advice(
        book.evidence(1), advice_on(book.pairing(1).pairing, today=date(2031, 4, 9))
    ),
    "pregnant": lambda book: book.set_pregnant(not book.pregnant()),
    "use": lambda book: book.make_current(len(book.pairings())),
}


@examples(25)
@given(done=st.lists(st.sampled_from([*OPERATIONS]), max_size=12))
def test_whatever_was_done_the_journal_makes_an_equal_logbook(done):
    clock = Clock()
    with tempfile.TemporaryDirectory() as place:
        with Logbook.open(Path(place, "home"), now=clock) as book:
            book.save_pairing(pairing_of())
            for what in ("log", *done):
                OPERATIONS[what](book)
            there = rows_of(book._db)
            assert replayed(book.path) == there
            assert book.check() == []
        # Taken to an empty home, it is the whole export.
        other = Path(place, "other")
        other.mkdir()
        journal_of(other / file.NAME).write_bytes(journal_of(book.path).read_bytes())
        rebuilt(other / file.NAME, clock)
        with Logbook.open(other, now=clock) as book:
            assert rows_of(book._db) == there
            book.log(1, shot_of())
            assert (book.check(), replayed(book.path)) == ([], rows_of(book._db))


def test_every_kind_of_operation_is_tried(book, number):
    for what in ("log", *OPERATIONS):
        before = len(read(journal_of(book.path)).lines)
        OPERATIONS[what](book)
        assert len(read(journal_of(book.path)).lines) == before + 1, what


def test_a_line_is_on_disk_before_its_operation_is_committed(book, number, a_shot, monkeypatch):
    told = []
    real = os.fsync
    monkeypatch.setattr(journal.os, "fsync", lambda handle: (real(handle), told.append("flushed")))
    book._db.set_trace_callback(lambda said: told.append(said) if said == "COMMIT" else None)
    book.log(1, a_shot(note="flushed first"))
    assert told[-2:] == ["flushed", "COMMIT"]
    assert "flushed first" in journal_of(book.path).read_text(encoding="utf-8").splitlines()[-1]


def test_the_form_of_a_line_is_as_documented(book):
    book.set_pregnant(True)
    (line,) = journal_of(book.path).read_bytes().splitlines()
    before, _, _ = line.partition(b',"check"')
    assert json.loads(line) == {
        "line": 1,
        "schema": len(STEPS),
        "rows": [["settings", {"name": "pregnant", "value": "yes"}]],
        "check": f"{crc32(before):08x}",
    }


# The file is damaged.


def _looked_over(path, clock):
    try:
        with Logbook.open(path.parent, now=clock) as book:
            return book.check()
    except LogbookDamaged as error:
        return [str(error)]


def _cut_short_or_blank(sound):
    for page in range(0, len(sound), 4096):
        yield sound[:page]
        yield sound[: page + 100]
        yield sound[:page] + bytes(4096) + sound[page + 4096 :]


def _flipped(sound):
    for seed in range(25):
        rng, data = random.Random(seed), bytearray(sound)
        for _ in range(rng.choice((1, 8, 100))):
            data[rng.randrange(len(data))] ^= rng.randrange(1, 256)
        yield bytes(data)


@pytest.mark.parametrize(("damages", "most"), [(_cut_short_or_blank, 2 / 3), (_flipped, 0.4)])
def test_damage_is_found_and_every_shot_comes_back(damages, most, filled, clock):
    before, sound = rows_in(filled), filled.read_bytes()
    assert len(sound) > 10 * 4096
    found, tried = 0, [*damages(sound)]
    for damaged in tried:
        filled.write_bytes(damaged)
        if _looked_over(filled, clock):
            end = rebuilt(filled, clock)
            found += 1
            assert (end.unfit, end.logbook.missing, end.aside.read_bytes()) == (0, 0, damaged)
            end.aside.unlink()
        assert rows_in(filled) == before
        assert journal_of(filled).is_file()
    assert found > most * len(tried)


def test_a_changed_value_is_found_by_the_journal_and_mended(filled, clock):
    with closing(sqlite3.connect(filled, isolation_level=None)) as db:
        before = rows_of(db)
        for table in ("shots", "pairing_revisions"):
            db.execute(f"DROP TRIGGER {table}_no_update")
        db.execute("UPDATE shots SET score = 6.5 WHERE id IN (2, 9)")
        db.execute("UPDATE pairing_revisions SET ratio = 2.5")
        db.execute("DELETE FROM settings WHERE name = 'pregnant'")
        assert check.findings(db) == []
    assert _looked_over(filled, clock) == [
        "Row 1 1 of pairing_revisions isn't as the journal has it.",
        "Row 2 of shots isn't as the journal has it.",
        "Row 9 of shots isn't as the journal has it.",
        "Row pregnant of settings isn't as the journal has it.",
    ]
    rebuilt(filled, clock)
    assert rows_in(filled) == before


def test_a_logbook_that_is_gone_is_not_begun_anew_beside_its_journal(filled, clock):
    there = replayed(filled)
    filled.unlink()
    with pytest.raises(LogbookDamaged, match="it is gone, and only its journal is there"):
        Logbook.open(filled.parent, now=clock)
    assert not filled.exists()
    rebuilt(filled, clock)
    with Logbook.open(filled.parent, now=clock) as book:
        assert rows_of(book._db) == there


def test_a_rebuilt_logbook_carries_its_journal_on(filled, clock, a_shot):
    before = journal_of(filled).read_bytes()
    filled.unlink()
    rebuilt(filled, clock)
    with Logbook.open(filled.parent, now=clock) as book:
        number = book.log(1, a_shot(note="after"))
        assert replayed(filled) == rows_of(book._db)
    after = journal_of(filled).read_bytes()
    assert after.startswith(before)
    assert after.count(b"\n") == before.count(b"\n") + 1
    assert number == 25, "an undone shot's number is never used again"


# The journal is damaged, gone, or another's.


def test_a_journal_that_was_deleted_is_begun_anew(filled, clock, a_shot):
    journal_of(filled).unlink()
    with Logbook.open(filled.parent, now=clock) as book:
        assert book.check() == []
        book.log(1, a_shot(note="anew"))
        assert (book.check(), replayed(filled)) == ([], rows_of(book._db))
        assert len(read(journal_of(filled)).lines) == 2, "all that was, and the shot"


def test_beginning_anew_takes_many_lines_for_many_rows(book, number, a_shot):
    book.import_shots(1, [a_shot(grind=grind % 40, note=str(grind)) for grind in range(450)], "year.csv")
    journal_of(book.path).unlink()
    book.set_pregnant(True)
    assert len(read(journal_of(book.path)).lines) == 4
    assert replayed(book.path) == rows_of(book._db)


def test_a_copy_put_in_place_by_hand_leaves_the_journal_of_what_came_after(home, clock, a_pairing, a_shot):
    with Logbook.open(home, now=clock) as book:
        book.save_pairing(a_pairing())
        copy = book.back_up()
        for grind in range(3):
            book.log(1, a_shot(grind=grind))
        after = journal_of(book.path).read_bytes()
    book.path.write_bytes(copy.read_bytes())
    with Logbook.open(home, now=clock) as book:
        assert book.log(1, a_shot(grind=30)) == 1
        assert (book.check(), replayed(book.path)) == ([], rows_of(book._db))
    (kept,) = (home / "backups").glob("*.jsonl")
    assert kept.read_bytes() == after
    end = restored(book.path, kept, now=clock, wait_s=0.2, replace=True)
    assert end.logbook.shots == 3
    with Logbook.open(home, now=clock) as book:
        book.log(1, a_shot(grind=31))
        assert (book.check(), replayed(book.path)) == ([], rows_of(book._db))


def test_garbage_in_the_middle_costs_its_own_lines_and_is_said(filled, clock):
    lines = journal_of(filled).read_bytes().splitlines(keepends=True)
    lines[10] = b"\xff\x00 garbage\n"
    lines[11] = lines[11][:40]  # and its end
    journal_of(filled).write_bytes(b"".join(lines))
    filled.unlink()
    end = rebuilt(filled, clock)
    assert (end.logbook.missing, end.unfit) == (3, 0)
    with Logbook.open(filled.parent, now=clock) as book:
        grinds = [shot.recipe.grind for shot in book.shots(1)]
        assert grinds == [grind for grind in range(23) if grind not in (8, 9, 10)]
        book.set_pregnant(False)
        assert (book.check(), replayed(filled)) == ([], rows_of(book._db))
    assert len(list((filled.parent / "backups").glob("*.jsonl"))) == 1, "what a person may still read stays"


def test_a_damaged_journal_of_a_whole_logbook_is_said_with_what_to_do(filled, clock, a_shot):
    data = bytearray(journal_of(filled).read_bytes())
    data[3000] ^= 1
    journal_of(filled).write_bytes(data)
    (said,) = _looked_over(filled, clock)
    assert said.startswith("1 line of its journal ")
    assert "move the journal away, and the next shot begins it anew" in said
    journal_of(filled).rename(filled.with_name("away.jsonl"))
    with Logbook.open(filled.parent, now=clock) as book:
        book.log(1, a_shot())
        assert book.check() == []


@examples(60)
@given(data=st.data())
def test_no_damage_makes_a_line_that_was_never_written(data, tmp_path_factory):
    path = tmp_path_factory.mktemp("journal") / "logbook.jsonl"
    notes = data.draw(st.lists(st.text(st.characters(exclude_categories=["Cs"])), min_size=1, max_size=5))
    rows = [[("acts", {"id": number, "source": note})] for number, note in enumerate(notes)]
    sound = b"".join(journal._written(number, len(STEPS), one) for number, one in enumerate(rows, start=1))
    path.write_bytes(sound)
    assert [list(line.rows) for line in read(path).lines] == rows
    damaged = bytearray(sound)
    for place in data.draw(st.lists(st.integers(0, len(sound) - 1), min_size=1, max_size=4)):
        damaged[place] = data.draw(st.integers(0, 255))
    path.write_bytes(damaged[: data.draw(st.integers(0, len(sound)))])
    found = read(path)
    assert all(list(line.rows) == rows[line.number - 1] for line in found.lines)


def _forged(*rows, number=1, schema=None):
    return journal._written(number, schema or len(STEPS), rows)


def test_what_was_never_written_here_is_left_out(home, clock):
    home.mkdir()
    path = journal_of(home / file.NAME)
    path.write_bytes(
        _forged(
            ("settings (name, value) VALUES ('x', 'y'); --", {"name": "x"}),
            ("settings", {"name": "a"}),
            ("settings", {"name": "n", "value": []}),
            ("shots", {"id) VALUES (1); --": 1}),
            ("shots", {"id": 1}),
            ("acts", {"id": 2**70}),
            ("pairings", {"id": "one"}),
            ("undone", {"act_id": 7, "at": "2031-04-09"}),
            ("pairings", {"id": 1}),
        )
    )
    end = rebuilt(home / file.NAME, clock)
    assert end.unfit == 8
    with Logbook.open(home, now=clock) as book:
        assert {table: rows for table, rows in rows_of(book._db).items() if rows} == {"pairings": [(1,)]}


# Killed, torn, taken back.

KILLED = textwrap.dedent(
    """
    import os, signal, sys
    from datetime import datetime
    from pathlib import Path
    from dialopt.logbook import journal
    from dialopt.logbook.book import Logbook
    from dialopt.trade.recipe import Recipe
    from dialopt.trade.shot import Shot
    die = lambda *about, **more: os.kill(os.getpid(), signal.SIGKILL)
    def after(real):
        def then(*about, **more):
            real(*about, **more)
            die()
        return then
    home, step = Path(sys.argv[1]), sys.argv[2]
    with Logbook.open(home, now=lambda: datetime(2031, 4, 9)) as book:
        if step == "before the journal":
            journal._written = die
        elif step == "within the line":
            real = journal._written
            journal._written = lambda *about: real(*about)[:30]
            os.fsync = die
        elif step == "before the commit":
            os.fsync = after(os.fsync)
        elif step == "before a journal is begun":
            Path.replace = die
        elif step == "before its place is committed":
            journal._stand = die
        book.log(1, Shot(recipe=Recipe(grind=39, dose_g=18, temp_c=93), note="in flight"))
    """
)


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is POSIX's")
@pytest.mark.parametrize("lost", [False, True], ids=["the file stays", "the file is lost"])
@pytest.mark.parametrize(
    ("step", "in_journal"),
    [
        ("before the journal", False),
        ("within the line", False),
        ("before the commit", True),
        ("before a journal is begun", False),
        ("before its place is committed", False),
    ],
)
def test_killed_at_any_step_nothing_confirmed_is_lost_and_nothing_comes_twice(
    step, in_journal, lost, filled, clock, a_shot
):
    if "begun" in step or "place" in step:
        journal_of(filled).unlink()
    before = rows_in(filled)
    for _ in range(2):
        done = subprocess.run([sys.executable, "-c", KILLED, str(filled.parent), step], check=False, timeout=60)
        assert done.returncode == -signal.SIGKILL
    assert rows_in(filled) == before, "what wasn't confirmed isn't there"
    if lost and journal_of(filled).is_file():
        filled.unlink()
        rebuilt(filled, clock)
    with Logbook.open(filled.parent, now=clock) as book:
        flying = sum(shot.note == "in flight" for shot in book.shots(1))
        assert flying == (in_journal and lost), "at most the one that nobody was told of"
        assert set(before["shots"]) <= set(rows_of(book._db)["shots"])
        book.log(1, a_shot(note="after"))
        assert (book.check(), replayed(filled)) == ([], rows_of(book._db))
        assert sum(shot.note == "in flight" for shot in book.shots(1)) == flying


def test_a_commit_that_fails_takes_its_line_back(book, number, a_shot):
    before = journal_of(book.path).read_bytes()
    with closing(sqlite3.connect(book.path, isolation_level=None)) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT * FROM shots").fetchall()
        with pytest.raises(LogbookLocked):
            book.log(1, a_shot())
    assert journal_of(book.path).read_bytes() == before
    assert book.log(1, a_shot()) == 1
    assert replayed(book.path) == rows_of(book._db)


def test_what_is_refused_or_changes_nothing_leaves_no_line(book, number, a_pairing, a_shot):
    book.log(1, a_shot(score=7))
    before = journal_of(book.path).read_bytes()
    book.save_pairing(a_pairing())
    book.amend(1, 1, a_shot(score=7))
    book.set_pregnant(False)
    for refused in (lambda: book.undo(1, 99), lambda: book.log(7, a_shot()), lambda: book.import_shots(1, [], "f")):
        with pytest.raises(Exception, match=r"taken back|no pairing|no shots"):
            refused()
    assert journal_of(book.path).read_bytes() == before


def test_a_journal_that_cant_be_written_refuses_the_shot(book, number, a_shot, monkeypatch):
    before = journal_of(book.path).read_bytes()

    def full(handle):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(journal.os, "fsync", full)
        with pytest.raises(LogbookError, match="Make room and try again"):
            book.log(1, a_shot())
    assert (book.shots(1), journal_of(book.path).read_bytes()) == ([], before)


# Logbooks from before there was a journal.


@pytest.mark.parametrize("schema", range(1, len(STEPS)))
def test_a_logbook_of_any_earlier_schema_begins_its_journal_with_all_it_holds(schema, home, clock, a_shot):
    with closing(file.opened(home / file.NAME, now=clock, wait_s=0.2, steps=STEPS[:schema])) as db:
        for statement in OLD:
            db.execute(statement)
    with Logbook.open(home, now=clock) as book:
        assert [shot.score for shot in book.shots(1)] == [7.5, None]
        old = book.pairing(1).pairing
        assert old == replace(pairing_of(), bean=Bean(name="harbour fog", roast="dark")), (
            "with the defaults of what came later"
        )
        assert not journal_of(book.path).exists(), "reading changes nothing"
        assert (book.check(), len(list((home / "backups").iterdir()))) == ([], 1)
        book.log(1, a_shot(score=3))
        there = rows_of(book._db)
    book.path.unlink()
    rebuilt(book.path, clock)
    with Logbook.open(home, now=clock) as book:
        assert rows_of(book._db) == there
        assert [shot.score for shot in book.shots(1)] == [7.5, None, 3]


OLD = (
    "INSERT INTO grinders VALUES (1, 'bench grinder', '2031-04-01', 'bench grinder', 0, 40, 1, 'down', 'set 1', 2)",
    "INSERT INTO machines VALUES (1, 'bench machine', '2031-04-01', 'bench machine', 88, 96, 1)",
    "INSERT INTO baskets VALUES (1, 'basket', '2031-04-01', 'basket', 16.5, 20, 0.1)",
    "INSERT INTO beans (id, known_as, saved_at, name, roast) "
    "VALUES (1, 'harbour fog', '2031-04-01', 'harbour fog', 'dark')",
    "INSERT INTO pairings VALUES (1)",
    "INSERT INTO pairing_revisions (pairing_id, revision, saved_at, bean_id, grinder_id, machine_id, basket_id, "
    "ratio, drink) VALUES (1, 1, '2031-04-01', 1, 1, 1, 1, 2, 'straight')",
    "INSERT INTO acts VALUES (1, 1, 'import', 'old.csv', '2031-04-01')",
    "INSERT INTO shots (act_id, pairing_id, number, revision, grind, dose_g, temp_c, score) "
    "VALUES (1, 1, 1, 1, 18, 18, 93, 7.5), (1, 1, 2, 1, 17, 18, 93, NULL)",
)


def test_a_journal_of_an_earlier_schema_is_taken_along(home, clock):
    home.mkdir()
    path = home / file.NAME
    before = len(STEPS) - 1
    rows = [("pairings", {"id": 1}), ("settings", {"name": "current pairing", "value": "1"})]
    journal_of(path).write_bytes(_forged(*rows, schema=before) + _forged(("pairings", {"id": 2}), number=2))
    rebuilt(path, clock)
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (len(STEPS),)
    assert (rows_in(path)["pairings"], rows_in(path)["settings"]) == ([(1,), (2,)], [("current pairing", "1")])
