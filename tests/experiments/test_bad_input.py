"""The targets of the fuzzing command, each on a few hundred inputs."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from dialopt.errors import BadValue, LogbookDamaged, Refused
from dialopt.shell.app import app
from experiments import fuzz
from experiments.bad_input.commands import OPTIONS, Kitchen, kitchen, targets
from experiments.bad_input.readers import GUIDED, SEEDS, TARGETS
from experiments.bad_input.target import Target, check_refusal, check_screen, taken

pytestmark = pytest.mark.slow

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
IN_A_KITCHEN = ("commands", "received files", "imported files", "places")


@pytest.fixture(scope="module")
def room() -> Iterator[Kitchen]:
    with kitchen() as made:
        yield made


def feed(target: Target, examples: int) -> None:
    @settings(
        max_examples=examples,
        derandomize=True,
        database=None,
        deadline=None,
        phases=[Phase.explicit, Phase.generate, Phase.shrink],
        suppress_health_check=list(HealthCheck),
    )
    @given(target.inputs)
    def one(given_input: Any) -> None:
        target.feed(given_input)

    one()


@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)
def test_what_is_read_is_taken_or_refused_in_words(target: Target) -> None:
    feed(target, 250)


@pytest.mark.slow
@pytest.mark.parametrize("name", IN_A_KITCHEN)
def test_a_command_does_what_it_was_told_or_changes_nothing(room: Kitchen, name: str) -> None:
    feed(next(target for target in targets(room) if target.name == name), 100)


def test_every_target_is_named_above(room: Kitchen) -> None:
    assert tuple(target.name for target in targets(room)) == IN_A_KITCHEN


def test_every_command_and_option_is_fed_or_named_above() -> None:
    there = set()
    for name, command in typer.main.get_command(app).commands.items():  # type: ignore[attr-defined]  # it is a group
        options = {word for part in command.params for word in part.opts if word.startswith("--")}
        there |= {name} if name in NOT_FED else {f"{name} {option}" for option in options} | {name}
    there = {words for words in there if words.split()[-1] not in ("--home", "--json", "--debug")}
    fed = {*OPTIONS} | {f"{name} --{option}" for name, options in OPTIONS.items() for option in options}
    assert there == fed | {*NOT_FED}
    assert not fed & {*NOT_FED}


@pytest.mark.parametrize("name", [*GUIDED])
def test_what_a_guided_fuzzer_begins_with_is_sound(name: str) -> None:
    assert all(GUIDED[name](text) for text in SEEDS[name])


def test_a_kitchen_tells_what_was_changed_by_a_refusal(room: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    def spoil(words: object) -> int:
        (room.home / "logbook.db").write_bytes(b"spoilt")
        sys.stderr.write("No.\n")
        return 4

    monkeypatch.setattr("experiments.bad_input.commands.main", spoil)
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


def test_a_count_tells_inputs_taken_refused_and_broken() -> None:
    def feed(number: int) -> bool:
        if number == 7:
            raise ZeroDivisionError
        return number > 4

    count = fuzz.fed(Target(name="t", says="s", inputs=st.integers(0, 9), feed=feed), 200, 1)
    assert count.inputs == count.accepted + count.refused + count.tracebacks
    assert min(count.accepted, count.refused, count.tracebacks) > 0
    assert "ZeroDivisionError" in count.examples[0]
    assert count.examples[0].startswith("7")


@pytest.mark.slow
def test_the_command_writes_its_report(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "fuzz.json"
    assert fuzz.main(["--inputs", "150", "--seed", "2", "--out", str(out)]) == 0
    report = json.loads(out.read_text(encoding="utf-8"))
    assert report["inputs"] >= 150
    assert report["tracebacks"] == 0
    assert report["inputs"] == report["accepted"] + report["refused"]
    assert {target["name"] for target in report["targets"]} == {target.name for target in TARGETS} | {*IN_A_KITCHEN}
    assert "| tables |" in capsys.readouterr().out
