"""What can stand in a logbook's way without harming it: no right to write, no room, somebody else, another clock."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from experiments.home import SHOT, End, kept, process, said, set_up

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="rights and resource limits as Linux has them"),
]

RESTORE = ("restore", "journal")
# The superuser may write anywhere, unless the rights to do so are given up first, which only lasts for that process.
_WITHOUT_RIGHTS = """
import ctypes, os, sys
for right in (1, 2):  # CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH
    ctypes.CDLL(None).prctl(24, right, 0, 0, 0)  # PR_CAPBSET_DROP
os.execv(sys.argv[1], sys.argv[1:])
"""
_WITHOUT_ROOM = """
import os, resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), int(sys.argv[1])))
os.execv(sys.argv[2], sys.argv[2:])
"""
WITHOUT_RIGHTS = (sys.executable, "-c", _WITHOUT_RIGHTS)


def without_room(most_bytes: int) -> tuple[str, ...]:
    """What is put before a command so that no file it writes can grow past this size."""
    return (sys.executable, "-c", _WITHOUT_ROOM, str(most_bytes))


def ended(home: Path, words: Sequence[str], launcher: Sequence[str] = ()) -> End:
    """A command run as a process of its own."""
    with process(home, words, launcher=launcher) as running:
        out, err = running.communicate(timeout=1_800)
    return End(status=running.returncode, out=out, err=err)


Ends = list[tuple[Sequence[str], int, End]]
"""Of each command its words, the exit status that it should end with, and how it ended."""
Scene = Callable[[Path], Ends | None]


def _both(home: Path, status: int, *commands: Sequence[str], launcher: Sequence[str] = ()) -> Ends:
    """Each command in words and in JSON."""
    each = [(*words, *json) for words in commands for json in ((), ("--json",))]
    return [(words, status, ended(home, words, launcher)) for words in each]


def _forbidden(which: str, mode: int, refused: Sequence[Sequence[str]], done: Sequence[Sequence[str]]) -> Scene:
    """A folder or file of that mode; what is refused then and what is done all the same."""

    def scene(home: Path) -> Ends:
        with _mode(home / which, mode):
            ends = _both(home, 5, *refused, launcher=WITHOUT_RIGHTS)
            return ends + _both(home, 0, *done, launcher=WITHOUT_RIGHTS)

    return scene


@contextmanager
def _mode(path: Path, mode: int) -> Iterator[None]:
    before = path.stat().st_mode
    path.chmod(mode)
    try:
        yield
    finally:
        path.chmod(before)


def _no_room(home: Path) -> Ends:
    size = (home / "logbook.db").stat().st_size
    long = ("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--note", "x" * 9_000)
    report, export = home.parent / "report.html", home.parent / "shots.csv"
    return [
        *_both(home, 4, ("export", str(export)), launcher=without_room(64)),
        *_both(home, 5, long, ("backup",), launcher=without_room(size // 4096 * 4096 - 4096)),
        *_both(home, 4, ("report", "--out", str(report)), launcher=without_room(size + 100_000)),
    ]


def _full_disk(home: Path) -> Ends | None:
    disk = home.parent / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(disk)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        return None
    try:
        there = Path(shutil.copytree(home, disk / "home"))
        filler = disk / "filler"
        with filler.open("wb", buffering=0) as handle, suppress(OSError):
            while True:
                handle.write(bytes(512))
        before = kept(there)
        ends = _both(there, 5, SHOT, ("backup",))
        ends += _both(there, 0, ("shots",), ("check",))
        filler.unlink()
        ends += _both(there, 0, SHOT, ("backup",))
        assert kept(there)[:-2] == before
        return ends
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def _in_use(home: Path) -> Ends:
    with closing(sqlite3.connect(home / "logbook.db", isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        return _both(home, 5, SHOT, RESTORE)


def _two_at_once(home: Path) -> Ends:
    ends: Ends = []
    for _ in range(5):
        with process(home, SHOT) as one, process(home, SHOT) as other:
            for running in (one, other):
                out, err = running.communicate(timeout=1_800)
                ends.append((SHOT, 0, End(status=running.returncode, out=out, err=err)))
    assert [shot["number"] for shot in kept(home)] == list(range(1, 16))
    return ends


def _newer(home: Path) -> Ends:
    before = (home / "logbook.db").read_bytes()
    with closing(sqlite3.connect(home / "logbook.db")) as db:
        db.execute("PRAGMA user_version = 99")
    ends = _both(home, 5, SHOT, ("shots",), ("check",)) + _both(home, 4, RESTORE)
    (home / "logbook.db").write_bytes(before)
    return ends


def _a_folder_in_its_place(home: Path) -> Ends:
    (home / "logbook.db").unlink()
    (home / "logbook.db").mkdir()
    ends = _both(home, 5, SHOT, ("shots",), ("check",))
    return [*ends, (RESTORE, 0, ended(home, RESTORE))]


def _gone(home: Path) -> Ends:
    (home / "logbook.db").unlink()
    return [(("restore",), 0, ended(home, ("restore",))), (RESTORE, 0, ended(home, RESTORE))]


def _a_clock_that_jumps(home: Path) -> Ends:
    today = datetime.now().replace(microsecond=0)
    ends: Ends = []
    for days in (400, -400, 0, -5_000):
        now = today + timedelta(days=days)
        for words in (SHOT, ("caffeine",), ("backup",), ("next",), ("undo",), SHOT, ("restore",), ("prepare",)):
            each = (words, (*words, "--json"))
            ends += [(words, 0, said(home, *words, now=lambda now=now: now)) for words in each]
    return ends


SCENES: dict[str, Scene] = {
    "a read-only folder": _forbidden(".", 0o555, [SHOT], [("shots",), ("check",)]),
    "a read-only file": _forbidden("logbook.db", 0o444, [SHOT], [("shots",)]),
    "a file that may not be read": _forbidden("logbook.db", 0o000, [SHOT, ("shots",), ("check",), ("restore",)], []),
    "no file may grow": _no_room,
    "a full disk": _full_disk,
    "a logbook in use": _in_use,
    "two processes at once": _two_at_once,
    "a logbook of a newer version": _newer,
    "a folder in its place": _a_folder_in_its_place,
    "no logbook but copies": _gone,
    "a clock that jumps": _a_clock_that_jumps,
}
"""By name. Each leaves the logbook readable at its end; None when it can't be staged here."""


@pytest.mark.parametrize("name", SCENES)
def test_what_stands_in_the_way_is_said_and_nothing_is_lost(name: str, tmp_path: Path) -> None:
    home = tmp_path / "home"
    set_up(home, 5)
    said(home, "backup")
    before = kept(home)
    ends = SCENES[name](home)
    if ends is None:
        pytest.skip("it can't be staged on this machine")
    assert ends
    for words, status, end in ends:
        assert (end.status, end.clear) == (status, True), (words, end)
    assert kept(home)[: len(before)] == before
