"""Kills commands at random moments, and looks at what they leave.

A shot is confirmed once its line stood on standard output. Half of the kills come at any moment of the command, half
within two thousandths of a second after a temporary file, or one of SQLite's own, has come to be: the moments that
matter.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import signal
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from experiments.faults.deeds import DEEDS, damage_of
from experiments.home import process, said

_WAIT_S = 600.0


def kill(name: str, times: int, seed: int) -> dict[str, Any]:
    """Kills one deed that many times. Returns counts, and in `wrong` what must not happen."""
    deed, rng = DEEDS[name], random.Random(f"{seed} {name}")
    counts: Counter[str] = Counter(times=times)
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as place:
        first = Path(place, "first", "home")
        deed.prepared(first)
        home = _anew(first.parent, Path(place, "a"))
        lasts_s = _lasts(home, deed.words(home, 0))
        home = _anew(first.parent, Path(place, "b"))
        for turn in range(1, times + 1):
            if deed.fresh:
                home = _anew(first.parent, Path(place, "b"))
            aimed, before = turn % 2 == 0, set(_temporary(home))
            killed, screen = _killed(home, deed.words(home, turn), rng, lasts_s, aimed=aimed)
            counts["killed"] += killed
            counts["killed while a file was being written"] += bool(set(_temporary(home)) - before)
            counts["confirmed"] += "\n" in screen
            wrong += [f"{name}, {turn}: {what}" for what in (*deed.left(home, screen, turn), *damage_of(home))]
        counts["temporary files left"] = len(_temporary(home))
        _aged(home)
        end = said(home, *(deed.tidies or deed.words(home, times + 1)))
        if end.status not in (0, 4):  # receiving twice is refused
            wrong.append(f"{name}: afterwards it ended with {end.status}: {end.err}")
        counts["temporary files left after the next time"] = len(_temporary(home))
    return {**counts, "wrong": wrong}


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


def _aged(home: Path) -> None:
    for one in _temporary(home):
        os.utime(one, (one.stat().st_atime, one.stat().st_mtime - 7_200))
