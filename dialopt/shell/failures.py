"""From anything that was raised to a failure that a person or a program can read."""

from __future__ import annotations

import re

import typer

from dialopt.errors import INTERRUPTED, BadValue, DialoptError, LogbookDamaged, LogbookTooNew, WrongUse
from dialopt.shell.answer import Failure

# The class of all that typer's parser raises. typer itself names only this descendant of it, and has moved the rest.
PARSER_ERROR: type[Exception] = typer.BadParameter.__mro__[2]

RESTORE = "`dialopt restore journal` brings every confirmed shot back; `dialopt restore` shows what else there is."
SHOW_ME = "--debug, or DIALOPT_DEBUG=1, shows where it happened"


_OPTIONS = {
    "dose_g": "--dose",
    "temp_c": "--temp",
    "yield_g": "--yield",
    "time_s": "--time",
    "tds_pct": "--tds",
    "pulled_at": "--at",
    "roasted_on": "--roasted-on",
    "opened_on": "--opened-on",
    "bag_g": "--bag-g",
    "purge_g": "--purge-g",
    "suggested": "--suggested",
}
"""What a person typed for the fields that aren't called as their options are."""


def interrupted() -> Failure:
    """Ctrl-C. What was confirmed before is saved; of a shot being saved just then, the log tells."""
    return Failure(
        status=INTERRUPTED,
        kind="interrupted",
        message="Interrupted; what was confirmed as saved is saved.",
        next_step="`dialopt shots` shows what is in the log.",
    )


def failure(error: Exception, command: str | None) -> Failure:
    """The failure that this error stands for."""
    if isinstance(error, DialoptError):
        bad = error if isinstance(error, BadValue) else None
        return Failure(
            status=error.status,
            kind=_snake(type(error).__name__),
            message=_sentence(_as_typed(str(error), bad)),
            next_step=next(iter(getattr(error, "__notes__", ())), _way_out(error)),
            field=bad.field if bad else None,
            accepted=bad.accepted if bad else None,
        )
    if isinstance(error, PARSER_ERROR):
        said = error.format_message() if hasattr(error, "format_message") else str(error)
        return Failure(
            status=2,
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


def _way_out(error: DialoptError) -> str | None:
    return RESTORE if isinstance(error, LogbookDamaged | LogbookTooNew) else None


def _snake(name: str) -> str:
    return re.sub(r"(?<!^)(?=[A-Z])", "_", name).lower()


def _as_typed(said: str, bad: BadValue | None) -> str:
    """The sentence with the field called as it was typed."""
    field = bad.field.split()[0] if bad and bad.field else ""
    return said.replace(field, _OPTIONS[field], 1) if field in _OPTIONS else said


def _sentence(text: str) -> str:
    text = " ".join(text.split())
    return text if text.endswith((".", "!", "?")) else text + "."
