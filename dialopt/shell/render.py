"""How a command ends, as text for a person or as one JSON object for a program; and a word to whoever is waiting."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from datetime import date
from pathlib import Path

import typer

import dialopt
from dialopt.errors import INTERRUPTED, BadValue, DialoptError, LogbookDamaged, LogbookTooNew, WrongUse
from dialopt.shell.options import CALLED

# The class of all that typer's parser raises. typer itself names only this descendant of it, and has moved the rest.
PARSER_ERROR: type[Exception] = typer.BadParameter.__mro__[2]

RESTORE = "`dialopt restore journal` brings every confirmed shot back; `dialopt restore` shows what else there is."
SHOW_ME = "--debug, or DIALOPT_DEBUG=1, shows where it happened"


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


INTERRUPTION = Failure(
    status=INTERRUPTED,
    kind="interrupted",
    message="Interrupted; what was confirmed as saved is saved.",
    next_step="`dialopt shots` shows what is in the log.",
)
"""Ctrl-C. What was confirmed before is saved; of a shot being saved just then, the log tells."""


def shown(command: str | None, end: Answer | Failure, *, as_json: bool) -> str:
    """The end of a command as it is printed: in the envelope, or line by line."""
    if not as_json:
        said = [end.did, *end.lines] if isinstance(end, Answer) else [end.message]
        return "".join(clean(line) + "\n" for line in [*said, *([f"Next: {end.next_step}"] if end.next_step else [])])
    error = None
    if isinstance(end, Failure):
        error = {name: value for name, value in asdict(end).items() if name != "next_step"}
    whole = {
        "ok": error is None,
        "command": command,
        "did": end.did if isinstance(end, Answer) else None,
        "next_step": end.next_step,
        "data": end.data if isinstance(end, Answer) else {},
        "error": error,
        "dialopt": dialopt.__version__,
    }
    # ASCII only, so that no terminal's encoding can break it; NaN isn't JSON.
    return json.dumps(whole, default=_plain, allow_nan=False) + "\n"


def clean(line: str) -> str:
    """One line without what could steer a terminal: whatever can't be printed becomes a blank.

    >>> clean("harbour" + chr(27) + "[2J fog")
    'harbour [2J fog'
    """
    return "".join(letter if letter.isprintable() else " " for letter in line).rstrip()


def _plain(value: object) -> str:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Path):
        return str(value)
    raise TypeError(f"{type(value).__name__} has no place in an answer")


def failure(error: Exception, command: str | None) -> Failure:
    """The failure that a person or a program can read, from anything that was raised."""
    if isinstance(error, DialoptError):
        bad = error if isinstance(error, BadValue) else None
        way_out = RESTORE if isinstance(error, LogbookDamaged | LogbookTooNew) else None
        return Failure(
            status=error.status,
            kind=re.sub(r"(?<!^)(?=[A-Z])", "_", type(error).__name__).lower(),
            message=_sentence(_as_typed(str(error), bad)),
            next_step=next(iter(getattr(error, "__notes__", ())), way_out),
            field=bad.field if bad else None,
            accepted=bad.accepted if bad else None,
        )
    if isinstance(error, PARSER_ERROR):
        said = error.format_message() if hasattr(error, "format_message") else str(error)
        return Failure(
            status=WrongUse.status,
            kind="wrong_use",
            message=_sentence(_usage_words(said, command)),
            next_step=f"`dialopt{f' {command}' if command else ''} --help` shows how it goes.",
            field=getattr(error, "option_name", None),
        )
    if isinstance(error, ValueError) and "null byte" in str(error):
        # Some versions of typer ask the disk for a name that no disk can hold.
        return failure(WrongUse("A name holds a character that no file's name can hold; name another."), command)
    said = " ".join(str(error).split())
    return Failure(
        status=1,
        kind="fault",
        message=_sentence(f"dialopt ran into a fault of its own ({type(error).__name__}{': ' if said else ''}{said})"),
        next_step=f"{SHOW_ME}.",
    )


def _usage_words(said: str, command: str | None) -> str:
    """What typer's parser said, put for whoever typed it. What isn't known here is passed on as it is."""
    whole = f"`dialopt {command}`" if command else "`dialopt`"
    for pattern, words in (
        (r"Missing (?:argument|option|parameter):? '(.+?)'", f"{whole} needs {{}}"),
        (r"Option '(.+?)' requires an argument", "{} needs a value after it"),
        (r"Invalid value for '(.+?)': .*\binteger\b", "{} takes a whole number"),
        (r"Got unexpected extra arguments?(?:\(s\))? \((.+)\)", f"{whole} can't make anything of {{}}"),
    ):
        if found := re.match(pattern, said):
            return words.format(found.group(1))
    return said


def _as_typed(said: str, bad: BadValue | None) -> str:
    """The sentence with the field called as it was typed."""
    field = bad.field.split()[0] if bad and bad.field else ""
    return said.replace(field, CALLED[field], 1) if field in CALLED else said


def _sentence(text: str) -> str:
    text = " ".join(text.split())
    return text if text.endswith((".", "!", "?")) else text + "."


@contextmanager
def working(on: str) -> Iterator[Callable[[str], None]]:
    """Shows on a terminal's standard error what takes a moment, and wipes it at the end; plain blanks do.

    What it hands out adds how far the work has come.
    """
    if sys.stderr is None or not sys.stderr.isatty():
        yield lambda far: None
        return
    widest = 0

    def show(line: str) -> None:
        nonlocal widest
        sys.stderr.write("\r" + line.ljust(widest))
        sys.stderr.flush()
        widest = max(widest, len(line))

    show(f"{on} …")
    try:
        yield lambda far: show(f"{on}: {far} …")
    finally:
        show("")
        sys.stderr.write("\r")
        sys.stderr.flush()
