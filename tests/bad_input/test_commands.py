"""Whole commands, in a home of their own, and files in places that are none."""

from __future__ import annotations

import contextlib
import io
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

import pytest
import typer
from hypothesis import given
from hypothesis import strategies as st

from dialopt.errors import BadValue, LogbookDamaged, Refused
from dialopt.logbook.backup import FOLDER
from dialopt.logbook.file import NAME
from dialopt.logbook.journal import journal_of
from dialopt.logbook.spreadsheet import export_csv
from dialopt.logbook.whole_file import read_whole, refuse_taken, write_whole
from dialopt.shell.app import app
from dialopt.shell.commands.files import JOURNAL, LATEST
from dialopt.shell.main import main
from dialopt.shell.parsers import check_place
from dialopt.trade.caffeine import SPECIES
from dialopt.trade.fields import FIELDS
from experiments.home import SET_UP, SHOT
from tests.bad_input.files import TABLES, shares
from tests.bad_input.refusals import check_refusal, check_screen, noted, taken
from tests.bad_input.texts import ANYTHING, MOMENTS, NUMBERS, PATHS, TEXTS

pytestmark = pytest.mark.slow

_ROUNDS = 20
"""Commands after which the logbook is a fresh one again, so that all run on a small one."""


class Kitchen:
    """A home with a logbook in it, and a folder to write to, both gone at the end."""

    def __init__(self) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="dialopt-fuzz-")
        self.root = Path(self._folder.name)
        self.home, self.workplace = self.root / "home", self.root / "desk"
        self.workplace.mkdir()
        for words in (*SET_UP, (*SHOT, "--note", "plum")):
            status, _, said = self.run(*words)
            assert status == 0, said
        self._fresh = self._all_files()
        self._since = 0

    def run(self, *words: str) -> tuple[int, str, str]:
        """Status, standard output and standard error of a command."""
        out, err = io.StringIO(), io.StringIO()
        with (
            patch.dict(os.environ, {"DIALOPT_HOME": str(self.home)}),
            patch.object(sys, "stdin", io.StringIO()),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            contextlib.chdir(self.workplace),
        ):
            status = main(words)
        return status, out.getvalue(), err.getvalue()

    def feed(self, *words: str) -> None:
        """Runs a command; a refusal must leave everything as it was."""
        self._since += 1
        if self._since > _ROUNDS:
            self.refresh()
        before = self._all_files()
        status, out, err = self.run(*words)
        assert status in (0, 2, 3, 4), (status, out, err)
        check_screen(out + err)
        if "--json" in words:
            assert out.isascii(), out
            assert out.count("\n") == 1, out
            told = json.loads(out)
            assert told["ok"] == (status == 0)
            assert (told["error"] or {"status": 0})["status"] == status
        elif status:
            assert err.strip(), "a refusal without a word"
        after = self._all_files()
        if status:
            # The day's copy may have been made on the way.
            of_now = {name: content for name, content in after.items() if Path(name).parent.name != FOLDER}
            assert of_now.items() <= before.items(), "refused, and something was changed"
            assert before.keys() <= after.keys(), "refused, and something is gone"
        assert not [name for name in after if name.endswith(".half")]
        own = {self.home / NAME, journal_of(self.home / NAME), *(self.home / FOLDER).rglob("*")}
        inside = own | {*self.workplace.rglob("*")}
        assert not [name for name in after if Path(name) not in inside], "written outside of where it was asked for"
        for path in self.workplace.iterdir():
            shutil.rmtree(path) if path.is_dir() and not path.is_symlink() else path.unlink()
        noted("taken" if status == 0 else "refused")

    def _all_files(self) -> dict[str, bytes]:
        return {str(path): path.read_bytes() for path in self.root.rglob("*") if path.is_file()}

    def refresh(self) -> None:
        """Puts the logbook back to what it was at first."""
        shutil.rmtree(self.home)
        for name, content in self._fresh.items():
            Path(name).parent.mkdir(parents=True, exist_ok=True)
            Path(name).write_bytes(content)
        self._since = 0

    def close(self) -> None:
        """Takes it all away."""
        self._folder.cleanup()


_SHOT = tuple(field.option[0].removeprefix("--") for field in FIELDS)
OPTIONS: dict[str, tuple[str, ...]] = {
    "shot": _SHOT,
    "amend": _SHOT,
    "grinder": ("grind", "finer", "burrs", "purge-g"),
    "machine": ("temp",),
    "basket": ("dose",),
    "bean": ("roaster", "origin", "process", "roast", "roasted-on", "opened-on", "bag-g", "suggested", "species"),
    "pairing": ("bean", "grinder", "machine", "basket", "ratio", "drink", "water", "counts", "bags-to-come", "amend"),
    "water": ("hardness", "alkalinity", "calcium", "magnesium", "sodium", "solids", "ph"),
    "caffeine": ("species", "pregnant"),
    "serve": ("servings", "expect", "code", "a", "b"),
    "judge": (),
    "use": (),
    "undo": ("shot",),
    "shots": ("history",),
    "kit": ("all",),
    "pairings": ("all",),
    "prepare": (),
    "export": ("replace",),
    "import": (),
    "check": (),
    "restore": (),
}
"""What is fed: commands and their options. The tests name the others, and why they are none of these."""
_FLAGS = ("all", "amend", "history", "replace")
"""Options that take no value."""
_ARGUMENT = ("amend", "grinder", "machine", "basket", "bean", "serve", "judge", "use", "export", "import", "restore")
_FIT = {
    "grind": st.sampled_from(["18", "0:40:1"]),
    "dose": st.sampled_from(["18", "16:20:0.1"]),
    "temp": st.sampled_from(["93", "88:96:1"]),
    "ratio": st.sampled_from(["2.1", "1:2,5", "1.5-3", "1.8:2.4:0.2", "none"]),
    "finer": st.sampled_from(["down", "up"]),
    "at": MOMENTS,
    "roasted-on": MOMENTS,
    "opened-on": MOMENTS,
    "species": st.sampled_from(SPECIES),
    "restore": st.sampled_from([JOURNAL, LATEST, NAME]),
    "servings": st.sampled_from(["6", "12", "0", "-1", "1000000"]),
    "amend": st.sampled_from(["1", "2", "0"]),
    "serve": st.sampled_from(["triangle", "paired"]),
    "use": st.sampled_from(["1", "washed sample"]),
}


@st.composite
def _command_lines(draw: st.DrawFn) -> list[str]:
    """Words after `dialopt`, mostly such as the command knows, with whatever in the place of the values."""

    def value(name: str) -> str:
        fitting = _FIT.get(name, NUMBERS)
        return draw(fitting if draw(st.integers(0, 2)) else ANYTHING)

    command = draw(st.sampled_from([*OPTIONS]))
    words = [command]
    if command in _ARGUMENT and draw(st.integers(0, 9)):
        words.append(value(command))
    for name in draw(st.lists(st.sampled_from(OPTIONS[command] or ("home",)), max_size=4, unique=True)):
        if name != "home":
            words.append(f"--{name}" if name in _FLAGS else f"--{name}={value(name)}")
    if draw(st.booleans()):
        words.append("--json")
    if draw(st.integers(0, 19)) == 0:
        words.insert(draw(st.integers(0, len(words))), draw(TEXTS))
    # Whatever an operating system hands over has no NUL in it, and no home but the one of this run is asked for.
    return [word.replace("\x00", "") for word in words if not word.startswith("--home")]


_NAMES = TEXTS | st.sampled_from(PATHS) | st.sampled_from(["a.csv", "b.json", "c.html", "d/e.csv", "x" * 250 + ".csv"])


@pytest.fixture(scope="module")
def room() -> Iterator[Kitchen]:
    made = Kitchen()
    yield made
    made.close()


@given(words=_command_lines())
def test_a_command_line(room: Kitchen, words: list[str]) -> None:
    room.feed(*words)


@given(text=shares(), sender=st.just("Ada") | st.sampled_from(["Ada", ""]) | TEXTS)
def test_a_received_file_is_taken_whole_or_changes_nothing(room: Kitchen, text: str, sender: str) -> None:
    (room.workplace / "sent.json").write_text(text, encoding="utf-8", newline="")
    room.feed("receive", "sent.json", f"--from={sender}".replace("\x00", ""))


@given(text=TABLES)
def test_an_imported_file_is_taken_whole_or_changes_nothing(room: Kitchen, text: str) -> None:
    (room.workplace / "week.csv").write_text(text, encoding="utf-8", newline="")
    room.feed("import", "week.csv")


@given(name=_NAMES)
def test_a_name_of_a_file_to_write_and_read(room: Kitchen, name: str) -> None:
    # Only names that stay on the desk are written to; of others it is asked whether a file could be there.
    path = room.workplace / "in" / name
    (room.workplace / "in").mkdir(exist_ok=True)

    def write() -> None:
        check_place(path)
        refuse_taken(path, replace=False, example="a.csv")
        if (room.workplace / "in") in path.resolve().parents:
            write_whole(path, b"whole")
            assert read_whole(path, most_bytes=9, wanted="a file") == b"whole"
            export_csv([], path, replace=True)
            path.unlink()

    taken(write)
    taken(lambda: read_whole(path, most_bytes=9, wanted="a file"))
    left = [*(room.workplace / "in").rglob("*")]
    assert not left, left


NOT_FED = {
    **dict.fromkeys(
        ("next", "sweet-spot", "report", "side-by-side", "compare", "palate", "share", "demo"), "slow: fits"
    ),
    "receive": "a target of its own",
    "sitting": "waits for a person",
    "backup": "writes beside the logbook",
    "shot --best": "slow: fits",
    "restore --replace": "writes beside the logbook",
}
"""Commands and options that whole command lines don't have, and why."""


def test_every_command_and_option_is_fed_or_named_above() -> None:
    there = set()
    for name, command in typer.main.get_command(app).commands.items():  # type: ignore[attr-defined]  # it is a group
        options = {word for part in command.params for word in part.opts if word.startswith("--")}
        there |= {name} if name in NOT_FED else {f"{name} {option}" for option in options} | {name}
    there = {words for words in there if words.split()[-1] not in ("--home", "--json", "--debug")}
    fed = {*OPTIONS} | {f"{name} --{option}" for name, options in OPTIONS.items() for option in options}
    assert there == fed | {*NOT_FED}
    assert not fed & {*NOT_FED}


def test_a_kitchen_tells_what_was_changed_by_a_refusal(room: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    def spoil(words: object) -> int:
        (room.home / "logbook.db").write_bytes(b"spoilt")
        sys.stderr.write("No.\n")
        return 4

    monkeypatch.setattr("tests.bad_input.test_commands.main", spoil)
    with pytest.raises(AssertionError, match="something was changed"):
        room.feed("shots")
    room.refresh()


def test_what_must_hold_is_told_from_what_does_not() -> None:
    assert taken(lambda: None)
    assert not taken(lambda: (_ for _ in ()).throw(Refused("No.")))
    with pytest.raises(AssertionError):
        check_refusal(Refused("no sentence"))
    with pytest.raises(AssertionError):
        check_refusal(BadValue("", 1, ""))
    with pytest.raises(AssertionError):
        check_refusal(LogbookDamaged("Whole."))
    with pytest.raises(ZeroDivisionError):
        taken(lambda: 1 / 0)
    for odd in ("\x1b[2J", "\u202e", "\x9b", "Traceback (most recent call last):"):
        with pytest.raises(AssertionError):
            check_screen(odd)
