"""The way in: from arguments to what stands on the screen and an exit status. No traceback gets past here unasked."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Sequence
from contextlib import suppress
from typing import Any

from dialopt.errors import INTERRUPTED


def run() -> None:
    """The console script."""
    sys.exit(main(sys.argv[1:]))


def main(arguments: Sequence[str], **surroundings: Any) -> int:
    """Runs one command and returns its exit status.

    0 done, 1 a fault of the program, 2 wrong use, 3 not found, 4 refused input, 5 the logbook can't be used,
    130 interrupted. surroundings: what of the command's `Context` is to be another than usual, such as its clock.
    """
    try:
        return _ended(arguments, surroundings)
    except KeyboardInterrupt:
        with suppress(OSError, ValueError):
            sys.stderr.write("Interrupted.\n")
        return INTERRUPTED


def _ended(arguments: Sequence[str], surroundings: dict[str, Any]) -> int:
    """Runs the command, prints its answer or why there is none, and returns the exit status."""
    # Imported in here, so that Ctrl-C meets the same end while Python is still reading files.
    import typer

    from dialopt.shell.app import cli
    from dialopt.shell.context import Context
    from dialopt.shell.render import INTERRUPTION, Answer, Failure, clean, failure, shown
    from dialopt.text import usage as words

    options = arguments[: arguments.index("--")] if "--" in arguments else arguments
    as_json = "--json" in options
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that can't show "°" shows "?"; so is one read
    command = _command_named(options, getattr(cli, "commands", {}))
    context = Context(json=as_json, environ=os.environ, **surroundings)

    def failed(why: Failure) -> int:
        with suppress(OSError):
            _print(sys.stdout if as_json else sys.stderr, shown(command, why, as_json=as_json))
        return why.status

    def unwritten(what: str, error: OSError) -> int:
        _reader_left()
        with suppress(OSError):
            sys.stderr.write(words.unwritten(clean(what), error.strerror or str(error)) + "\n")
        return 1

    try:
        end = cli.main(args=[*arguments], prog_name="dialopt", standalone_mode=False, obj=context)
        if end == INTERRUPTED:  # typer makes this of Ctrl-C
            return failed(INTERRUPTION)
        if not isinstance(end, Answer):
            return int(end or 0)  # help or version, printed already
        try:
            _print(sys.stdout, shown(command, end, as_json=as_json))
        except BrokenPipeError:
            return _reader_left()
        except OSError as error:  # what was done is done: a screen that fails must not make anybody do it again
            return unwritten(words.but_unanswered(end.did), error)
        return 0
    except (KeyboardInterrupt, typer.Abort):
        return failed(INTERRUPTION)
    except SystemExit:  # typer makes this of a pipe that nobody reads
        return _reader_left()
    except Exception as error:
        if ("--debug" in options or os.environ.get("DIALOPT_DEBUG")) and sys.stderr is not None:
            sys.stderr.write("".join(clean(line) + "\n" for line in traceback.format_exc().splitlines()))
        # Whoever writes a file says so; what has no name is the screen, or a temporary file.
        if isinstance(error, OSError) and error.errno and error.filename is None:
            return unwritten(words.SCREEN_OR_DISK, error)
        return failed(failure(error, command))


def _command_named(options: Sequence[str], known: object) -> str | None:
    """The first word that isn't an option, if there is such a command."""
    words = zip(("", *options), options, strict=False)
    first = next((word for before, word in words if before != "--home" and not word.startswith("-")), None)
    return first if isinstance(known, dict) and first in known else None


def _print(stream: Any, text: str) -> None:
    if stream is not None:  # None when it was closed before the start
        stream.write(text)
        stream.flush()


def _reader_left() -> int:
    # Python flushes once more at its end, and would complain then.
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0
