"""Another process takes the whole logbook just after something was saved: what was saved is told as saved."""

from __future__ import annotations

import sqlite3

import pytest

from dialopt.logbook.book import Logbook
from tests.shell.test_share import sent

SHOT = ("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "7")


@pytest.fixture
def taken(monkeypatch):
    """Lets another connection hold the logbook alone from the end of one of its methods on; returns how."""
    others = []

    def taken_after(method):
        saving = getattr(Logbook, method)

        def saved(book, *arguments, **named):
            end = saving(book, *arguments, **named)
            others.append(sqlite3.connect(book.path, isolation_level=None))
            others[-1].execute("BEGIN EXCLUSIVE")
            book._db.execute("PRAGMA busy_timeout = 1")
            return end

        monkeypatch.setattr(Logbook, method, saved)

    yield taken_after
    for other in others:
        other.close()


@pytest.mark.parametrize(
    ("method", "words", "said"),
    [
        ("log", SHOT, "Saved as shot 2"),
        ("import_shots", ("import", "CSV"), "Imported 1 shot"),
        ("amend", ("amend", "1", "--score", "1"), "Amended shot 1"),
        ("undo", ("undo",), "Took back shot 1"),
        ("change_burrs", ("grinder", "bench grinder", "--burrs", "set 2"), "Closed the burrs set 1"),
        ("save_basket", ("basket", "deep", "--dose", "16:20:1"), "Set up the basket deep"),
        ("receive", ("receive", "SENT", "--from", "Ada"), "Took in 2 shots"),
    ],
)
def test_what_was_saved_is_told_as_saved(bench, taken, tmp_path, method, words, said):
    csv = tmp_path / "in.csv"
    csv.write_text("grind,dose_g,temp_c\n17,18,93\n")
    files = {"CSV": str(csv), "SENT": sent(tmp_path)}
    bench(*SHOT)
    taken(method)
    done = bench(*(files.get(word, word) for word in words))
    assert (done.status, done.err) == (0, "")
    assert done.out.startswith(said)
    assert done.out.splitlines()[-1].startswith("Next: `dialopt ")
