"""Damages logbooks at random, asks every command about them, and restores them."""

from __future__ import annotations

import random
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from joblib import Parallel, delayed

from experiments.home import SHOT, End, kept, said, set_up

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


def damage(times: int, seed: int, jobs: int) -> dict[str, Any]:
    """Each kind of damage `times` times, `jobs` at once. Returns what happened, kind by kind; `unclear` holds what must
    not happen.
    """
    report: dict[str, Any] = {"commands": len(WHAT_PEOPLE_DO), "kinds": {}, "unclear": []}
    with tempfile.TemporaryDirectory() as place:
        sound = Path(place, "sound")
        set_up(sound, SHOTS)
        said(sound, "next")

        for kind in KINDS:
            ends = Parallel(jobs)(delayed(_once)(sound, kind, turn, seed) for turn in range(times))
            counted = Counter[str]()
            for unclear, counts in ends:
                report["unclear"] += unclear
                counted.update(counts)
            report["kinds"][kind] = {"times": times, **dict(sorted(counted.items()))}
    return report


def _once(sound: Path, kind: str, turn: int, seed: int) -> tuple[list[str], Counter[str]]:
    rng, counts = random.Random(f"{seed} {kind} {turn}"), Counter[str]()
    with tempfile.TemporaryDirectory() as place:
        home = Path(shutil.copytree(sound, Path(place, "damaged")))
        file = home / "logbook.db"
        file.write_bytes(KINDS[kind](file.read_bytes(), rng))
        return [f"{kind}, {turn}: {what}" for what in _lived_through(home, sound, rng, counts)], counts


def _lived_through(home: Path, sound: Path, rng: random.Random, counts: Counter[str]) -> list[str]:
    """Runs everything on a damaged logbook; returns what should not have happened."""
    damaged, journal = (home / "logbook.db").read_bytes(), (home / "logbook.jsonl").read_bytes()
    unclear = []
    first = said(home, "check", "--json")
    for words in ((*some, *json) for some in WHAT_PEOPLE_DO for json in ((), ("--json",)) if rng.random() < 0.5):
        unclear += _problems(words, said(home, *words), damaged_file=first.status == 5)
    unclear += _problems(("check", "--json"), first, damaged_file=first.status == 5)
    # As it was before something was logged into what still worked.
    (home / "logbook.db").write_bytes(damaged)
    (home / "logbook.jsonl").write_bytes(journal)
    if first.status == 0:
        counts["harmless"] += 1
        was, now = kept(sound), kept(home)
        return unclear + _changed(sum(shot not in was for shot in now) + abs(len(was) - len(now)), counts)
    counts["told"] += 1
    end = said(home, "restore", "journal", "--json")
    unclear += _problems(("restore", "journal", "--json"), end, damaged_file=False)
    if end.status:
        return [*unclear, f"restore: {end.out}"]
    if said(home, "check").status:
        unclear.append("what was restored isn't whole")
    was, now = kept(sound), kept(home)
    if now != was:
        unclear.append("what was restored isn't what was confirmed")
    if Path(end.data["data"]["aside"]).read_bytes() != damaged:
        unclear.append("the file kept aside isn't the damaged one")
    counts["shots restored"] += len(now)
    return unclear + _changed(sum(shot not in was for shot in now), counts)


def _changed(shots: int, counts: Counter[str]) -> list[str]:
    counts["shots changed unnoticed"] += shots
    return [f"shots that differ with nothing said: {shots}"] if shots else []


def _problems(words: tuple[str, ...], end: End, *, damaged_file: bool) -> list[str]:
    name = " ".join(words)
    if not end.clear:
        return [f"`{name}` ended with {end.status}: {(end.err or end.out)[-300:]}"]
    if "--json" in words and end.data["error"] is not None and end.data["error"]["status"] != end.status:
        return [f"`{name}` says another status than it ends with"]
    if end.status not in ((0, 3, 4, 5) if damaged_file else (0, 3)):
        return [f"`{name}` ended with {end.status}: {(end.err or end.out)[-300:]}"]
    return []
