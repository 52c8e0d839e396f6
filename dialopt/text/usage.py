"""How the command line is used: what it says of wrong use, of its own faults, and while it works."""

from __future__ import annotations

import re

from dialopt.text.said import Said

INTERRUPTED = "Interrupted; what was confirmed as saved is saved."
IN_THE_LOG = "`dialopt shots` shows what is in the log."
RESTORE = "`dialopt restore journal` brings every confirmed shot back; `dialopt restore` shows what else there is."
SHOW_ME = "--debug, or DIALOPT_DEBUG=1, shows where it happened."
NO_FILE_S_NAME = "A name holds a character that no file's name can hold; name another."
VERSION_ALONE = "--version stands alone, without a command."
NAME_A_COMMAND = "Name a command, such as `dialopt next --json`; `dialopt --help` lists them."
# Most likely a variable that isn't set; as a path it would mean the current folder.
HOME_EMPTY = "--home needs a folder, and what it got is empty."
REPLACE = "`--replace` replaces it."
SCREEN_OR_DISK = "Screen or disk"
WORKING_OUT = "Working out what the shots tell"
DRAWING = "Drawing the report"
LOOKING_BACK = "Looking back"


def version_said(version: str) -> Said:
    """Which version this is."""
    return Said(did=f"dialopt {version}", next_step="`dialopt --help` lists the commands.")


def next_line(step: str) -> str:
    """The line on what is sensible next."""
    return f"Next: {step}"


def far(done: int, of: int) -> str:
    """How far the work has come."""
    return f"shot {done} of {of}"


def unwritten(what: str, why: str) -> str:
    """That a screen or a file can't be written."""
    return f"{what} can't be written: {why}."


def but_unanswered(did: str) -> str:
    """What was done, of which the answer couldn't be shown."""
    return f"{did} But the answer"


def own_fault(error: Exception) -> str:
    """That the program has failed, not the person."""
    said = " ".join(str(error).split())
    return f"dialopt ran into a fault of its own ({type(error).__name__}{': ' if said else ''}{said})."


def see_help(command: str | None) -> str:
    """Where it stands how a command goes."""
    return f"`dialopt{f' {command}' if command else ''} --help` shows how it goes."


def usage_words(said: str, command: str | None) -> str:
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
