"""import, export, check, backup: shots in and out, and the logbook's health."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from dialopt.errors import BadValue, LogbookDamaged, Refused
from dialopt.logbook.spreadsheet import BadFile, export_csv, read_csv
from dialopt.shell.context import Context, best_effort
from dialopt.shell.in_use import CHOOSE, current
from dialopt.shell.parsers import check_place
from dialopt.shell.plausibility import listed_lines, look_data, looked_at
from dialopt.shell.render import Answer
from dialopt.trade.shot import Shot

MOST_SAID = 5
"""Findings of a check that are said; one damaged page can make hundreds."""
MEND = "`dialopt amend NUMBER` with --fault or the right value mends a shot; "


def import_(
    context: Context,
    *,
    files: Annotated[list[Path], typer.Argument(metavar="FILE.csv", help="Spreadsheet exports, in order of time.")],
) -> Answer:
    """Log the shots of spreadsheets, all or none."""
    by_file = {file: read_csv(file) for file in files}
    rows = [shot for shots in by_file.values() for shot in shots]
    if len({os.path.realpath(file) for file in files}) < len(files):
        raise Refused("A file is named twice, so its shots would be logged twice; name each file once.")
    names = ", ".join(file.name for file in files)
    with context.book() as book:
        record = current(book)
        try:
            numbers = book.import_shots(record.id, rows, names)
        except BadValue as bad:
            raise _where(bad, by_file) from None
        asked = best_effort([], looked_at, book, record, numbers)
        odd = len({number for number, _ in asked})
        first, last, many = numbers[0], numbers[-1], len(numbers) > 1
        return Answer(
            did=f"Imported {len(numbers)} shot{'s' * many} from {names} into {record.pairing.title}, "
            + (f"as shots {first} to {last}." if many else f"as shot {first}.")
            + (f" {odd} of {'them want' if odd > 1 else 'them wants'} a second look." if odd and many else ""),
            lines=listed_lines(asked),
            next_step=(MEND if asked else "")
            + "`dialopt next` says what to pull now; `dialopt undo` takes the whole import back.",
            data={
                "pairing": record.id,
                "files": [file.absolute() for file in files],
                "numbers": numbers,
                "questions": look_data(asked),
            },
        )


def _where(bad: BadValue, by_file: dict[Path, list[Shot]]) -> Refused:
    """The same with the file and the row that it is in: only the logbook knows which time hasn't come yet."""
    for file, shots in by_file.items():
        for number, shot in enumerate(shots, start=1):
            if bad.field == "pulled_at" and shot.pulled_at is not None and shot.pulled_at.isoformat() == bad.value:
                return BadFile(
                    file.name, [f"shot {number} of it, pulled_at can't be {bad.value}; it takes {bad.accepted}"]
                )
    return bad


def export(
    context: Context,
    *,
    file: Annotated[Path, typer.Argument(metavar="FILE.csv", help="Where to write them.")],
    replace: Annotated[bool, typer.Option("--replace", help="Replace the file when it is there already.")] = False,
) -> Answer:
    """Write the shots to a spreadsheet file."""
    check_place(file, example="shots.csv", replace=replace)
    with context.book() as book:
        record = current(book)
        shots = book.shots(record.id)
        export_csv(shots, file, replace=replace)
        return Answer(
            did=f"Wrote {len(shots)} shot{'s' * (len(shots) != 1)} of {record.pairing.title} to {file}.",
            next_step="`dialopt import` reads such a file back.",
            data={"pairing": record.id, "file": file.absolute(), "shots": len(shots)},
        )


def check(context: Context) -> Answer:
    """Check the logbook and its journal for damage."""
    with context.book() as book:
        if book.current_lost():
            error = LogbookDamaged(f"In the logbook {book.path} which pairing is in use is lost.")
            error.add_note(CHOOSE)
            raise error
        findings = book.check()
        if findings:
            more = f" And {len(findings) - MOST_SAID} more findings." if len(findings) > MOST_SAID else ""
            raise LogbookDamaged(f"The logbook {book.path} isn't whole. {' '.join(findings[:MOST_SAID])}{more}")
        return Answer(
            did=f"The logbook {book.path} is whole.",
            next_step="`dialopt backup` makes a dated copy; `dialopt next` says what to pull now.",
            data={"logbook": book.path, "findings": findings},
        )


def backup(context: Context) -> Answer:
    """Make a dated copy of the logbook beside it."""
    with context.book() as book:
        copy = book.back_up()
        return Answer(
            did=f"Copied the logbook to {copy}.",
            next_step="`dialopt restore` lists all copies, and goes back to one.",
            data={"logbook": book.path, "copy": copy},
        )
