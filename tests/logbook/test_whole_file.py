from __future__ import annotations

import os
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

from dialopt.errors import NotFound, Refused
from dialopt.logbook import whole_file
from dialopt.logbook.whole_file import (
    placed,
    read_whole,
    refuse_nowhere,
    refuse_taken,
    stands,
    temporary_file,
    tidy,
    write_whole,
)

IMPOSSIBLE = ("x" * 256, "é" * 200, "d/" * 3000 + "x", "a\0b", "half \ud800")
"""Names that no file on this system can have."""
needs_pipes = pytest.mark.skipif(sys.platform == "win32", reason="named pipes are POSIX's")


@pytest.mark.parametrize("name", IMPOSSIBLE, ids=lambda name: repr(name)[:12])
def test_a_name_that_no_file_can_have_is_refused_in_words(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    for call in (
        lambda: write_whole(path, b""),
        lambda: read_whole(path, most_bytes=1, wanted="a spreadsheet"),
        lambda: refuse_taken(path, replace=True, example="shots.csv"),
    ):
        with pytest.raises(Refused, match=r"can't be a file: .+\. Name another") as caught:
            call()
        assert len(str(caught.value)) < 500
    assert not stands(path)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["x" * 255, "é" * 127, "CON", "nul.csv", "dots...", "-", "\x1b[2J", "\n", "'; rm"])
def test_an_odd_name_that_a_file_can_have_is_written_and_read(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    write_whole(path, b"whole")
    assert read_whole(path, most_bytes=5, wanted="a file") == b"whole"
    assert list(tmp_path.iterdir()) == [path]


@needs_pipes
def test_what_is_no_file_is_never_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(Refused, match="isn't a file that can be replaced"):
        write_whole(pipe, b"")
    with pytest.raises(Refused, match=r"is a device or the like; name a file, such as shots\.csv"):
        refuse_taken(pipe, replace=True, example="shots.csv")
    with pytest.raises(Refused, match="isn't a file; name a spreadsheet"):
        read_whole(pipe, most_bytes=1, wanted="a spreadsheet")
    assert pipe.is_fifo()
    with pytest.raises(Refused, match="isn't a file that can be replaced"):
        write_whole(tmp_path, b"")


def test_a_loop_of_links_and_a_link_to_nothing(tmp_path: Path) -> None:
    loop, nothing = tmp_path / "loop", tmp_path / "nothing"
    loop.symlink_to(loop)
    nothing.symlink_to(tmp_path / "gone")
    with pytest.raises(Refused, match="can't be a file"):
        write_whole(loop, b"")
    with pytest.raises(NotFound):
        read_whole(nothing, most_bytes=1, wanted="a file")


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    refuse_nowhere(tmp_path / "x")
    (tmp_path / "file").write_text("")
    for parent in ("no", "file"):
        with pytest.raises(Refused, match=r"^There is no folder .*; name a file in a folder that exists\.$"):
            refuse_nowhere(tmp_path / parent / "x")


def test_place_without_hard_links_still_never_replaces(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object) -> None:
        raise PermissionError("no hard links here")

    monkeypatch.setattr(whole_file.os, "link", no_links)
    temporary, final = tmp_path / "temporary", tmp_path / "final"
    temporary.write_text("one")
    whole_file.place(temporary, final)
    assert final.read_text() == "one"
    temporary.write_text("two")
    with pytest.raises(FileExistsError):
        whole_file.place(temporary, final)
    assert final.read_text() == "one"


def test_of_one_name_the_first_free_number_is_taken(tmp_path: Path) -> None:
    for text in "123":
        (tmp_path / "temporary").write_text(text)
        placed(tmp_path / "temporary", tmp_path / "copy-2031.db")
        (tmp_path / "temporary").unlink()
    assert {one.name: one.read_text() for one in tmp_path.iterdir()} == {
        "copy-2031.db": "1",
        "copy-2031-2.db": "2",
        "copy-2031-3.db": "3",
    }


@pytest.mark.parametrize("stem", ["logbook", "report.html"])
def test_temporary_files_of_an_hour_ago_are_removed_and_nothing_else(stem: str, tmp_path: Path) -> None:
    names = (f".{stem}-2031-04-09-071500-77.tmp", f".{stem}-78.tmp", f".{stem}-x.tmp")
    old, new, own = (tmp_path / name for name in names)
    for one in (old, new, own):
        one.write_text("")
    for one in (old, own):
        os.utime(one, (one.stat().st_atime, one.stat().st_mtime - 4_000))
    with temporary_file(stem, tmp_path) as temporary:
        temporary.write_text("")
        tidy(stem, temporary)
        assert [one.exists() for one in (old, new, own, temporary)] == [False, True, True, True]
    assert not temporary.exists()


@pytest.mark.parametrize("name", ["logbook.db", "logbook.jsonl", "logbook.db-wal", "copy.db", "link.csv"])
def test_nothing_that_belongs_to_a_logbook_is_replaced(name, book, a_pairing, tmp_path):
    book.save_pairing(a_pairing())
    (book.path.parent / "copy.db").write_bytes(book.path.read_bytes())
    (book.path.parent / "link.csv").symlink_to(book.path)
    (book.path.parent / "logbook.db-wal").touch()
    path = book.path.parent / name
    before = path.read_bytes()
    for write in (lambda: refuse_taken(path, replace=True, example="x.csv"), lambda: write_whole(path, b"dear diary")):
        with pytest.raises(Refused, match="belongs to a logbook"):
            write()
    assert path.read_bytes() == before


def test_another_database_may_be_replaced(tmp_path):
    with closing(sqlite3.connect(tmp_path / "other.db")) as db:
        db.execute("CREATE TABLE other (id INTEGER)")
    write_whole(tmp_path / "other.db", b"dear diary")
    assert (tmp_path / "other.db").read_bytes() == b"dear diary"
