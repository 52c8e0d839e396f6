"""Kills commands at random moments, and looks at what they leave.

A shot is confirmed once its line stood on standard output. Half of the kills come at any moment of the command, half
within two thousandths of a second after a temporary file, or one of SQLite's own, has come to be: the moments that
matter. `DIALOPT_TIMES=100` kills each deed so many times.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import signal
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from experiments.home import process, said
from tests.faults.deeds import DEEDS, damage_of

TIMES = int(os.environ.get("DIALOPT_TIMES", "2"))
_WAIT_S = 600.0

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="kills as Linux has them"),
]


@pytest.mark.parametrize("name", DEEDS)
def test_nothing_confirmed_is_lost_to_a_kill(
    name: str, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    deed, rng = DEEDS[name], random.Random(f"7 {name}")
    first = tmp_path / "first" / "home"
    deed.prepared(first)
    home = _anew(first.parent, tmp_path / "a")
    lasts_s = _lasts(home, deed.words(home, 0))
    home = _anew(first.parent, tmp_path / "b")
    killed = half_way = 0
    for turn in range(1, TIMES + 1):
        if deed.fresh:
            home = _anew(first.parent, tmp_path / "b")
        before = set(_temporary(home))
        dead, screen = _killed(home, deed.words(home, turn), rng, lasts_s, aimed=turn % 2 == 0)
        killed += dead
        half_way += bool(set(_temporary(home)) - before)
        assert [*deed.left(home, screen, turn), *damage_of(home)] == [], turn
    record_property("killed", killed)
    record_property("killed while a file was being written", half_way)
    for one in _temporary(home):
        os.utime(one, (one.stat().st_atime, one.stat().st_mtime - 7_200))
    end = said(home, *(deed.tidies or deed.words(home, TIMES + 1)))
    assert end.status in (0, 4), end.err  # receiving twice is refused
    assert len(_temporary(home)) <= 1, "the next of its kind tidies up what was left"


def _anew(first: Path, place: Path) -> Path:
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(first, place)
    return place / "home"


def _lasts(home: Path, words: Sequence[str]) -> float:
    began = time.perf_counter()
    with process(home, words) as running:
        out, err = running.communicate(timeout=10 * _WAIT_S)
    if running.returncode:
        raise RuntimeError(f"`{' '.join(words)}` ended with {running.returncode}: {err or out}")
    return time.perf_counter() - began


def _killed(home: Path, words: Sequence[str], rng: random.Random, lasts_s: float, *, aimed: bool) -> tuple[bool, str]:
    """Whether the command was killed before its end, and what it had said."""
    before = set(_temporary(home))
    with process(home, words) as running:
        began = time.perf_counter()
        if aimed:
            while running.poll() is None and not set(_temporary(home)) - before:
                if time.perf_counter() - began > _WAIT_S + 10 * lasts_s:
                    raise RuntimeError(f"`{' '.join(words)}` doesn't end")
            time.sleep(rng.uniform(0, 0.002))
        else:
            time.sleep(rng.uniform(0, lasts_s))
        running.send_signal(signal.SIGKILL)
        out, _ = running.communicate(timeout=_WAIT_S)
    return running.returncode == -signal.SIGKILL, out


def _temporary(home: Path) -> list[Path]:
    """Temporary files, SQLite's own among them, in the home and beside it, where reports go."""
    named = re.compile(r"\..*\.tmp(-journal)?|.*-journal")
    folders = [home, home / "backups", home.parent]
    return [
        Path(entry.path)
        for folder in folders
        if folder.is_dir()
        for entry in os.scandir(folder)
        if named.fullmatch(entry.name)
    ]
