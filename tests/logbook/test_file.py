from __future__ import annotations

import sqlite3
import subprocess
import sys
import textwrap
from contextlib import closing
from pathlib import Path

import platformdirs
import pytest

from dialopt.errors import LogbookDamaged, LogbookError, LogbookLocked, LogbookTooNew, NotFound, WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.file import home_folder
from dialopt.logbook.schema import APPLICATION_ID, STEPS


def test_a_new_logbook_is_made_as_promised(home, clock):
    with Logbook.open(home, now=clock) as book:
        assert book.path == home / "logbook.db"
        pragma = {
            name: book._db.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "synchronous", "foreign_keys", "application_id", "user_version")
        }
    assert pragma == {
        "journal_mode": "delete",
        "synchronous": 2,  # FULL
        "foreign_keys": 1,
        "application_id": APPLICATION_ID,
        "user_version": len(STEPS),
    }
    assert [one.name for one in home.iterdir()] == ["logbook.db"]


@pytest.fixture
def filled(home, clock, a_pairing, a_shot) -> Path:
    with Logbook.open(home, now=clock) as book:
        number = book.save_pairing(a_pairing())
        for grind in range(40):
            book.log(number, a_shot(grind=grind, note="x" * 500))
        return book.path


@pytest.mark.parametrize("share", [0.0, 0.001, 0.3, 0.5, 0.95])
def test_a_truncated_file_is_damaged_and_left_alone(share, filled, home, clock):
    part = filled.read_bytes()[: int(filled.stat().st_size * share)]
    filled.write_bytes(part)
    with pytest.raises(LogbookDamaged, match="can't be read") as caught:
        Logbook.open(home, now=clock)
    assert caught.value.status == 5
    assert filled.read_bytes() == part


@pytest.mark.parametrize(
    ("pragma", "error", "said"),
    [
        (f"application_id = {APPLICATION_ID ^ 1}", LogbookDamaged, "isn't a dialopt logbook"),
        (
            f"user_version = {len(STEPS) + 1}",
            LogbookTooNew,
            f"schema {len(STEPS) + 1}, this one knows up to {len(STEPS)}",
        ),
        ("user_version = 0", LogbookDamaged, "number of its schema"),
        ("user_version = -3", LogbookDamaged, "number of its schema"),
        (None, LogbookDamaged, "not a database"),
    ],
)
def test_what_is_no_logbook_of_now_is_refused_and_left_alone(pragma, error, said, filled, home, clock):
    if pragma is None:
        filled.write_text("grind,dose_g,temp_c\n" * 100)
    else:
        with closing(sqlite3.connect(filled)) as db:
            db.execute(f"PRAGMA {pragma}")
    before = filled.read_bytes()
    with pytest.raises(error, match=said):
        Logbook.open(home, now=clock)
    assert filled.read_bytes() == before


def test_a_pairing_whose_kit_is_gone_is_damage_in_words(filled, home, clock):
    with closing(sqlite3.connect(filled, isolation_level=None)) as db:
        for (trigger,) in db.execute("SELECT name FROM sqlite_master WHERE tbl_name = 'grinders' AND type = 'trigger'"):
            db.execute(f"DROP TRIGGER {trigger}")
        db.execute("DELETE FROM grinders")
    with Logbook.open(home, now=clock) as book, pytest.raises(LogbookDamaged, match="a pairing whose grinder is gone"):
        book.pairing("1")


def test_another_writer_is_waited_for_then_named(book, a_pairing):
    with closing(sqlite3.connect(book.path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(LogbookLocked, match="try again"):
            book.save_pairing(a_pairing())
        other.execute("ROLLBACK")
    assert book.save_pairing(a_pairing()) == 1


def test_an_unwritable_logbook_says_so_and_changes_nothing(book, number, a_shot):
    book._db.execute("PRAGMA query_only = ON")  # what a read-only folder amounts to, and it holds for root too
    with pytest.raises(LogbookError, match="can't be written to; nothing was changed"):
        book.log(number, a_shot())
    assert book.shots(number) == []


def test_a_home_that_cant_be_a_folder_says_so(tmp_path, clock):
    (tmp_path / "taken").write_text("")
    for home in (tmp_path / "taken", tmp_path / "taken" / "below"):
        with pytest.raises(LogbookError, match="can't be used"):
            Logbook.open(home, now=clock)


@pytest.mark.skipif(sys.platform == "win32", reason="resource limits are POSIX's")
def test_a_full_disk_changes_nothing(filled, home, clock):
    script = """
        import resource, sys
        from datetime import datetime
        from pathlib import Path
        from dialopt.errors import LogbookError
        from dialopt.logbook.book import Logbook
        from dialopt.trade.recipe import Recipe
        from dialopt.trade.shot import Shot
        with Logbook.open(Path(sys.argv[1]), now=lambda: datetime(2031, 4, 9)) as book:
            size = book.path.stat().st_size
            resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
            try:
                book.import_shots(1, [Shot(recipe=Recipe(grind=1, dose_g=18, temp_c=90), note="y" * 10_000)] * 9, "f")
            except LogbookError as error:
                print(type(error).__name__, error)
            print(len(book.shots(1)))
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(script), str(home)],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    said, left = done.stdout.splitlines()
    assert said.startswith("LogbookError The logbook ")
    assert "Make room and try again" in said
    assert left == "40"
    with Logbook.open(home, now=clock) as book:
        assert book.check() == []
        assert len(book.shots(1)) == 40


def test_an_interrupt_inside_a_transaction_takes_it_back(book, number, a_shot):

    def rows():
        yield a_shot()
        raise KeyboardInterrupt

    class Interrupted(list):
        def __iter__(self):
            return rows()

    with pytest.raises(KeyboardInterrupt):
        book.import_shots(number, Interrupted([a_shot()]), "f.csv")
    assert book.history(number) == []
    assert book.log(number, a_shot()) == 1


def test_a_logbook_in_a_folder_with_odd_letters(tmp_path, clock):
    home = tmp_path / "kaffee ☕ ?mode=ro #1 %20"
    with Logbook.open(home, now=clock) as book, pytest.raises(NotFound):
        book.current()
    assert (home / "logbook.db").is_file()


# Where it lives.


def test_the_folder_that_was_named_wins() -> None:
    assert home_folder(Path("here"), {"DIALOPT_HOME": "there"}) == Path("here")


def test_then_the_environment() -> None:
    assert home_folder(None, {"DIALOPT_HOME": " there "}) == Path("there")
    assert home_folder(None, {"DIALOPT_HOME": "~/coffee"}) == Path.home() / "coffee"


def test_then_the_platforms_own_folder() -> None:
    usual = Path(platformdirs.user_data_dir("dialopt", appauthor=False))
    assert home_folder(None, {}) == usual
    assert home_folder(None, {"DIALOPT_HOME": "  "}) == usual


@pytest.mark.parametrize("name", ["~nobody-of-that-name/coffee", "a\0b", "\ud800"])
def test_what_no_folder_can_be_called_is_refused_in_words(name: str) -> None:
    for given, environ in ((Path(name), {}), (None, {"DIALOPT_HOME": name})):
        with pytest.raises(
            WrongUse, match=r"can't be a folder; --home and DIALOPT_HOME take one that you may write to"
        ):
            home_folder(given, environ)


def test_the_logbook_brings_in_nothing_heavy():
    script = (
        "import sys, dialopt.logbook.book, dialopt.logbook.spreadsheet, dialopt.logbook.file\n"
        "print(*sorted({'numpy', 'scipy', 'pandas', 'skopt', 'plotly', 'platformdirs', 'typer'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.split() == []
