"""Everything that `dialopt` says no with.

    DialoptError                 a fault of the program           exit status 1
    ├── WrongUse                 the call itself makes no sense    2
    ├── NotFound                 no such bean, shot, file …        3
    ├── Refused                  input that can't be taken         4
    │   └── BadValue             one field, its value, what would do
    └── LogbookError             the logbook can't be used         5
        ├── LogbookLocked        another process is writing
        ├── LogbookDamaged       the file isn't whole
        └── LogbookTooNew        written by a newer dialopt

Each message is a sentence for a person: what was wrong and what would be accepted.
"""

from __future__ import annotations

INTERRUPTED = 130
"""Exit status after an interrupt from the keyboard."""


class DialoptError(Exception):
    """Base of every error that dialopt raises on purpose. `str` of it is the sentence for the person.

    status: the exit status with which the command line ends.
    """

    status = 1


class WrongUse(DialoptError):
    """The call or command makes no sense as written."""

    status = 2


class NotFound(DialoptError):
    """The thing asked for is not there."""

    status = 3


class Refused(DialoptError):
    """Input that can't be taken; nothing was changed."""

    status = 4


class BadValue(Refused, ValueError):
    """One value that can't be taken; also a ValueError.

    field: its name. value: what it was. accepted: what would be accepted, in words.

    >>> print(BadValue("score", 11, "a number from 0 to 10"))
    score can't be 11; it takes a number from 0 to 10.
    """

    def __init__(self, field: str, value: object, accepted: str) -> None:
        self.field = field
        self.value = value
        self.accepted = accepted
        super().__init__(f"{field} can't be {_shown(value)}; it takes {accepted}.")


class LogbookError(DialoptError):
    """The logbook can't be used: locked, damaged, or written by a newer dialopt."""

    status = 5


class LogbookLocked(LogbookError):
    """Another process is writing to the logbook."""


class LogbookDamaged(LogbookError):
    """The logbook file isn't a whole dialopt logbook."""


class LogbookTooNew(LogbookError):
    """The logbook was written by a newer dialopt."""


def _shown(value: object) -> str:
    if value is None or (isinstance(value, str) and not value):
        return "empty"
    try:
        text = repr(value).replace("\n", " ")
    except (RecursionError, ValueError):  # nested too deep, or a whole number of thousands of digits
        text = f"such {type(value).__name__}"
    return text if len(text) <= 60 else text[:57] + "…"
