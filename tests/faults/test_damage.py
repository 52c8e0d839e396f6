"""Damages logbooks at random, asks every command about them, and restores them. `DIALOPT_TIMES=30`: of each kind."""

from __future__ import annotations

import os
import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from experiments.home import SHOT, End, kept, said, set_up

pytestmark = pytest.mark.slow

TIMES = int(os.environ.get("DIALOPT_TIMES", "2"))
SHOTS = 50
_COMMANDS = "shots --history;pairings;kit;caffeine;amend 3 --score 5;undo;check;backup"
WHAT_PEOPLE_DO: tuple[tuple[str, ...], ...] = (SHOT, *(tuple(words.split()) for words in _COMMANDS.split(";")))


def _flipped(many: int) -> Callable[[bytes, random.Random], bytes]:
    def flip(data: bytes, rng: random.Random) -> bytes:
        changed = bytearray(data)
        for _ in range(many):
            changed[rng.randrange(len(changed))] ^= rng.randrange(1, 256)
        return bytes(changed)

    return flip


def _blanked(data: bytes, rng: random.Random) -> bytes:
    sectors = len(data) // 512  # as a disk loses it
    start = rng.randrange(sectors)
    end = min(start + rng.randrange(1, 17), sectors)
    return data[: start * 512] + bytes((end - start) * 512) + data[end * 512 :]


def _cut(data: bytes, rng: random.Random) -> bytes:
    return data[: rng.randrange(len(data))]


KINDS: dict[str, Callable[[bytes, random.Random], bytes]] = {
    "a byte flipped": _flipped(1),
    "eight bytes flipped": _flipped(8),
    "a hundred bytes flipped": _flipped(100),
    "sectors blanked": _blanked,
    "cut short": _cut,
    "empty": lambda data, rng: b"",
    "another kind of file": lambda data, rng: b"grind,dose_g,temp_c\n" * 200,
}


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("damage") / "sound"
    set_up(home, SHOTS)
    said(home, "next")
    return home


@pytest.mark.parametrize("turn", range(TIMES))
@pytest.mark.parametrize("kind", KINDS)
def test_damage_is_told_and_every_confirmed_shot_comes_back(sound: Path, tmp_path: Path, kind: str, turn: int) -> None:
    rng = random.Random(f"7 {kind} {turn}")
    home = Path(shutil.copytree(sound, tmp_path / "damaged"))
    file, journal = home / "logbook.db", home / "logbook.jsonl"
    file.write_bytes(KINDS[kind](file.read_bytes(), rng))
    damaged, written = file.read_bytes(), journal.read_bytes()
    first = said(home, "check", "--json")
    told = first.status == 5
    assert told or kind not in ("empty", "another kind of file")
    _check(("check", "--json"), first, damaged_file=told)
    for words in ((*some, *json) for some in WHAT_PEOPLE_DO for json in ((), ("--json",)) if rng.random() < 0.5):
        _check(words, said(home, *words), damaged_file=told)
    # As it was before something was logged into what still worked.
    file.write_bytes(damaged)
    journal.write_bytes(written)
    if told:
        end = said(home, "restore", "journal", "--json")
        _check(("restore", "journal", "--json"), end, damaged_file=False)
        assert end.status == 0, end.out
        assert said(home, "check").status == 0
        assert Path(end.data["data"]["aside"]).read_bytes() == damaged
    assert kept(home) == kept(sound)


def _check(words: tuple[str, ...], end: End, *, damaged_file: bool) -> None:
    """A command ends in words, with a status that fits."""
    assert end.clear, (words, end)
    assert end.status in ((0, 3, 4, 5) if damaged_file else (0, 3)), (words, end)
    if "--json" in words and end.data["error"] is not None:
        assert end.data["error"]["status"] == end.status, words
