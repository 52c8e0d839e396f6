"""The way in: from arguments to an exit status. No traceback gets past here unless it was asked for."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import suppress

from dialopt.errors import INTERRUPTED


def run() -> None:
    """The console script."""
    sys.exit(main(sys.argv[1:]))


def main(arguments: Sequence[str]) -> int:
    """Runs one command and returns its exit status.

    0 done, 1 a fault of the program, 2 wrong use, 3 not found, 4 refused input, 5 the logbook can't be used,
    130 interrupted.
    """
    try:
        # Imported in here, so that Ctrl-C meets the same end while Python is still reading files.
        from dialopt.shell.session import session

        return session(arguments)
    except KeyboardInterrupt:
        with suppress(OSError, ValueError):
            sys.stderr.write("Interrupted.\n")
        return INTERRUPTED
