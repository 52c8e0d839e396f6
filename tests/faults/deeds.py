"""What is killed, and what must hold afterwards."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from dialopt.errors import DialoptError
from dialopt.logbook import check, file
from dialopt.logbook.schema import STEPS
from dialopt.logbook.share import read_share
from dialopt.logbook.spreadsheet import read_csv
from experiments.home import kept, said, set_up

SHOTS = 5
IMPORTED = 400
"""Rows of the imported spreadsheet, and shots of the logbook that is migrated."""
RATIO = 2.1
"""Of the logged shots, off the one that the pairing has."""
_SHOT = ("shot", "--dose", "18", "--temp", "93", "--ratio", f"1:{RATIO}", "--score", "7")


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """What is killed. words: the command, given the home folder and a number. prepared: makes the home before the first
    time, fresh: before each. left: what is wrong afterwards, given the home, what stood on the screen and the number.
    tidies: the command that next makes files of that kind, where this one doesn't do it twice.
    """

    words: Callable[[Path, int], Sequence[str]]
    prepared: Callable[[Path], object]
    left: Callable[[Path, str, int], list[str]]
    fresh: bool = False
    tidies: Sequence[str] | None = None


def damage_of(home: Path) -> list[str]:
    """Opens the logbook as the next command would, and looks it over."""
    try:
        with closing(file.opened(home / file.NAME, now=datetime.now, wait_s=5.0)) as db:
            return check.findings(db)
    except DialoptError as error:
        return [str(error)]


# Logging: every confirmed shot is there, and at most the one in flight beyond. The grind tells them apart.


def _logged(home: Path, screen: str, turn: int) -> list[str]:
    there = (turn, RATIO) in [(shot["grind"], shot["ratio"]) for shot in kept(home)]
    return ["a confirmed shot is gone"] if "Saved as shot" in screen and not there else []


# Import: whole or not at all.


def _spreadsheet(home: Path, turn: int) -> Path:
    path = home.parent / f"week-{turn}.csv"
    rows = "".join(f"{turn},18,93,7,row {row} of {turn}\n" for row in range(IMPORTED))
    path.write_text("grind,dose_g,temp_c,score,note\n" + rows, encoding="utf-8")
    return path


def _imported(home: Path, screen: str, turn: int) -> list[str]:
    there = sum(shot["grind"] == turn for shot in kept(home))
    wrong = [f"{there} of {IMPORTED} rows are there"] if there not in (0, IMPORTED) else []
    return [*wrong, *(["a confirmed import is gone"] if "Imported" in screen and not there else [])]


# Migration: of one schema or another, every shot there, the dated copy whole.


def old_logbook(home: Path) -> None:
    """A logbook as the first release made it."""
    home.mkdir(parents=True)
    with closing(file.opened(home / file.NAME, now=datetime.now, wait_s=5.0, steps=STEPS[:1])) as db, db:
        db.execute("BEGIN")
        for statement in (
            "INSERT INTO grinders VALUES (1, 'g', '2031-04-01', 'g', 0, 40, 1, 'down', 'set 1', 2)",
            "INSERT INTO machines VALUES (1, 'm', '2031-04-01', 'm', 88, 96, 1)",
            "INSERT INTO baskets VALUES (1, 'b', '2031-04-01', 'b', 16.5, 20, 0.1)",
            "INSERT INTO beans (id, known_as, saved_at, name) VALUES (1, 'washed', '2031-04-01', 'washed')",
            "INSERT INTO pairings VALUES (1)",
            "INSERT INTO pairing_revisions VALUES (1, 1, '2031-04-01', 1, 1, 1, 1, 2, 'straight')",
            "INSERT INTO settings VALUES ('current pairing', '1')",
            "INSERT INTO acts VALUES (1, 1, 'import', 'old.csv', '2031-04-01')",
        ):
            db.execute(statement)
        db.executemany(
            "INSERT INTO shots (act_id, pairing_id, number, revision, grind, dose_g, temp_c) "
            "VALUES (1, 1, ?, 1, 18, 18, 93)",
            [(number,) for number in range(1, IMPORTED + 1)],
        )
        db.execute("COMMIT")


def _migrated(home: Path, screen: str, turn: int) -> list[str]:
    wrong = [] if len(kept(home)) == IMPORTED else ["a shot was lost"]
    return [*wrong, *_copies(home, "", turn), *([] if list((home / "backups").glob("*.db")) else ["no dated copy"])]


def _copies(home: Path, screen: str, turn: int) -> list[str]:
    told = said(home, "restore", "--json").data["data"]["copies"]
    return [f"the copy {copy['file']} {copy['problem']}" for copy in told if copy["problem"]]


# Files that leave: the old one or the new one, never half of one.


def _with_files(home: Path) -> None:
    set_up(home, SHOTS)
    for words in (_report(home, 0), _share(home, 0), _export(home, 0), ("backup",)):
        said(home, *words)


def _report(home: Path, turn: int) -> tuple[str, ...]:
    return ("report", "--out", str(home.parent / "report.html"), "--seed", str(turn))


def _share(home: Path, turn: int) -> tuple[str, ...]:
    return ("share", str(home.parent / "share.json"), "--replace", "--seed", str(turn))


def _export(home: Path, turn: int) -> tuple[str, ...]:
    return ("export", str(home.parent / "shots.csv"), "--replace")


def _readable(name: str) -> Callable[[Path, str, int], list[str]]:
    def left(home: Path, screen: str, turn: int) -> list[str]:
        path = home.parent / name
        try:
            shots = len(read_csv(path) if name.endswith(".csv") else read_share(path).shots)
        except (DialoptError, OSError) as error:
            return [str(error)]
        return [] if shots == SHOTS else [f"{name} holds {shots} of {SHOTS} shots"]

    return left


# Taking in another's, and restoring.


def _receive(home: Path, turn: int) -> tuple[str, ...]:
    """Another's dial-in each turn: what is known already, or one's own, would be refused."""
    told = json.loads((home.parent / "share.json").read_text(encoding="utf-8"))
    for shot in told["case"]["shots"]:
        shot["time_s"] = 20 + turn / 100
    sent = home.parent / "sent.json"
    sent.write_text(json.dumps({**told, "hash": None}), encoding="utf-8")
    return ("receive", str(sent), "--from", f"Somebody {turn}")


def _received(home: Path, screen: str, turn: int) -> list[str]:
    end = said(home, *_receive(home, turn))
    done = end.status == 0 or "already" in end.err
    return [] if done else [f"receiving it again ended with {end.status}: {end.err}"]


def _damaged(home: Path) -> None:
    _with_files(home)
    set_up(home, SHOTS, first=SHOTS)
    data = bytearray((home / file.NAME).read_bytes())
    data[100:120] = bytes(20)
    (home / file.NAME).write_bytes(data)


def _restored(home: Path, screen: str, turn: int) -> list[str]:
    if damage_of(home):  # killed before the new one took its place
        end = said(home, "restore", "journal")
        if end.status:
            return [f"restoring again ended with {end.status}: {end.err}"]
    return [] if len(kept(home)) == 2 * SHOTS else [f"{len(kept(home))} of {2 * SHOTS} shots are there"]


def _bench(home: Path) -> None:
    set_up(home, 1)


DEEDS: dict[str, Deed] = {
    "log": Deed(
        words=lambda home, turn: (*_SHOT, "--grind", str(turn)),
        prepared=_bench,
        left=_logged,
    ),
    "import": Deed(
        words=lambda home, turn: ("import", str(_spreadsheet(home, turn))), prepared=_bench, left=_imported, fresh=True
    ),
    "migrate": Deed(
        words=lambda home, turn: ("kit",), prepared=old_logbook, left=_migrated, fresh=True, tidies=("backup",)
    ),
    "report": Deed(words=_report, prepared=_with_files, left=_readable("report.html")),
    "share": Deed(words=_share, prepared=_with_files, left=_readable("share.json")),
    "export": Deed(words=_export, prepared=_with_files, left=_readable("shots.csv")),
    "receive": Deed(words=_receive, prepared=_with_files, left=_received),
    "backup": Deed(words=lambda home, turn: ("backup",), prepared=_bench, left=_copies),
    "restore": Deed(
        words=lambda home, turn: ("restore", "journal"),
        prepared=_damaged,
        left=_restored,
        fresh=True,
        tidies=("restore", "journal", "--replace"),
    ),
}
"""By name, what the experiment kills."""
