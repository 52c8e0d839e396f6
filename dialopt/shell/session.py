"""One command from its arguments to what stands on the screen."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Sequence
from contextlib import suppress

import typer

from dialopt.errors import INTERRUPTED
from dialopt.shell.answer import Answer, Failure, answer_json, answer_text, clean, failure_json, failure_text
from dialopt.shell.app import app
from dialopt.shell.desk import Desk, kitchen_clock
from dialopt.shell.failures import failure, interrupted


def session(arguments: Sequence[str]) -> int:
    """Runs the command, prints its answer or why there is none, and returns the exit status."""
    options = arguments[: arguments.index("--")] if "--" in arguments else arguments
    as_json = "--json" in options
    debug = "--debug" in options or bool(os.environ.get("DIALOPT_DEBUG"))
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that can't show "°" shows "?"; so is one read

    cli = typer.main.get_command(app)
    command = _command_named(options, getattr(cli, "commands", {}))
    desk = Desk(json=as_json, environ=os.environ, now=kitchen_clock)
    try:
        end = cli.main(args=[*arguments], prog_name="dialopt", standalone_mode=False, obj=desk)
        if isinstance(end, Answer):
            return _show(answer_json(command, end) if as_json else answer_text(end), end)
        if end == INTERRUPTED:  # typer makes this of Ctrl-C
            return _fail(command, interrupted(), as_json)
        return int(end or 0)  # help or version, printed already
    except (KeyboardInterrupt, typer.Abort):
        return _fail(command, interrupted(), as_json)
    except SystemExit:  # typer makes this of a pipe that nobody reads
        return _reader_left()
    except Exception as error:
        if debug and sys.stderr is not None:
            sys.stderr.write("".join(clean(line) + "\n" for line in traceback.format_exc().splitlines()))
        # Whoever writes a file says so; what has no name is the screen, or a temporary file.
        if isinstance(error, OSError) and error.errno and error.filename is None:
            return _unwritten("Screen or disk", error)
        return _fail(command, failure(error, command), as_json)


def _command_named(options: Sequence[str], known: object) -> str | None:
    """The first word that isn't an option, if there is such a command."""
    words = zip(("", *options), options, strict=False)
    first = next((word for before, word in words if before != "--home" and not word.startswith("-")), None)
    return first if isinstance(known, dict) and first in known else None


def _show(text: str, answer: Answer) -> int:
    """Prints the answer. What was done is done, so a screen that fails must not make anybody do it again."""
    try:
        _print(text)
    except BrokenPipeError:
        return _reader_left()
    except OSError as error:
        return _unwritten(f"{answer.did} But the answer", error)
    return 0


def _unwritten(what: str, error: OSError) -> int:
    _reader_left()
    with suppress(OSError):
        sys.stderr.write(f"{clean(what)} can't be written: {error.strerror or error}.\n")
    return 1


def _fail(command: str | None, failure: Failure, as_json: bool) -> int:
    with suppress(OSError):
        if as_json:
            _print(failure_json(command, failure))
        elif sys.stderr is not None:
            sys.stderr.write(failure_text(failure))
            sys.stderr.flush()
    return failure.status


def _print(text: str) -> None:
    if sys.stdout is not None:  # None when it was closed before the start
        sys.stdout.write(text)
        sys.stdout.flush()


def _reader_left() -> int:
    # Python flushes once more at its end, and would complain then.
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0
