"""What a command answers, as text for a person or as one JSON object for a program."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import dialopt


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The end of a command that worked.

    did: what was done, one sentence. next_step: what is sensible now. lines: what there is to read, for the terminal
    only. data: the same for a program, in JSON's own types, dates or paths.
    """

    did: str
    next_step: str
    lines: tuple[str, ...] = ()
    data: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """The end of a command that didn't. kind: its name in JSON. field, accepted: for one bad value."""

    status: int
    kind: str
    message: str
    next_step: str | None = None
    field: str | None = None
    accepted: str | None = None


def answer_text(answer: Answer) -> str:
    """The answer for a terminal."""
    lines = [answer.did, *answer.lines, f"Next: {answer.next_step}"]
    return "".join(clean(line) + "\n" for line in lines)


def failure_text(failure: Failure) -> str:
    """The failure for a terminal."""
    lines = [failure.message, *([f"Next: {failure.next_step}"] if failure.next_step else [])]
    return "".join(clean(line) + "\n" for line in lines)


def answer_json(command: str | None, answer: Answer) -> str:
    """The answer in the envelope."""
    return _envelope(command, answer.did, answer.next_step, answer.data, None)


def failure_json(command: str | None, failure: Failure) -> str:
    """The failure in the envelope."""
    error = {
        "kind": failure.kind,
        "message": failure.message,
        "field": failure.field,
        "accepted": failure.accepted,
        "status": failure.status,
    }
    return _envelope(command, None, failure.next_step, {}, error)


def clean(line: str) -> str:
    """One line without what could steer a terminal: whatever can't be printed becomes a blank.

    >>> clean("harbour" + chr(27) + "[2J fog")
    'harbour [2J fog'
    """
    return "".join(letter if letter.isprintable() else " " for letter in line).rstrip()


def _envelope(
    command: str | None,
    did: str | None,
    next_step: str | None,
    data: Mapping[str, object],
    error: Mapping[str, object] | None,
) -> str:
    whole = {
        "ok": error is None,
        "command": command,
        "did": did,
        "next_step": next_step,
        "data": data,
        "error": error,
        "dialopt": dialopt.__version__,
    }
    # ASCII only, so that no terminal's encoding can break it; NaN isn't JSON.
    return json.dumps(whole, default=_plain, allow_nan=False) + "\n"


def _plain(value: object) -> str:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Path):
        return str(value)
    raise TypeError(f"{type(value).__name__} has no place in an answer")
