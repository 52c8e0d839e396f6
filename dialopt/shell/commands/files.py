"""import, export, check, backup, restore: shots in and out, and the logbook's health."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

from dialopt.errors import BadValue, LogbookDamaged, NotFound, Refused
from dialopt.logbook import backup as copies
from dialopt.logbook import file as logbook_file
from dialopt.logbook.book import WAIT_S
from dialopt.logbook.csv_in import BadFile, read_csv
from dialopt.logbook.csv_out import export_csv
from dialopt.logbook.journal import journal_of
from dialopt.logbook.restore import Held, NothingWrong, dated_copies, held, restored, state_of
from dialopt.logbook.store.words import printable
from dialopt.logbook.whole_file import stands
from dialopt.shell.commands.shots import look_data
from dialopt.shell.context import Context, best_effort, noted
from dialopt.shell.in_use import current, looked_at
from dialopt.shell.options import Replace, Text, argument, flag
from dialopt.shell.parsers import check_place
from dialopt.shell.render import Answer, answered
from dialopt.text import files as words
from dialopt.text.setting_up import NEXT_STEP
from dialopt.trade.shot import Shot

JOURNAL, LATEST = "journal", "latest"
_SOURCE = f"{JOURNAL}: everything up to the last confirmed shot; {LATEST}: the fullest copy; or a file by name."


def import_(
    context: Context,
    *,
    files: Annotated[list[Path], argument("FILE.csv", "Spreadsheet exports, in order of time.")],
) -> Answer:
    """Log the shots of spreadsheets, all or none."""
    by_file = {file: read_csv(file) for file in files}
    rows = [shot for shots in by_file.values() for shot in shots]
    if len({os.path.realpath(file) for file in files}) < len(files):
        raise Refused(words.NAMED_TWICE)
    names = ", ".join(file.name for file in files)
    with context.book() as book:
        record = current(book)
        try:
            numbers = book.import_shots(record.id, rows, names)
        except BadValue as bad:
            raise _where(bad, by_file) from None
        asked = best_effort([], looked_at, book, record, numbers)
        return answered(
            words.imported_said(record.pairing.title, names, numbers, asked),
            pairing=record.id,
            files=[file.absolute() for file in files],
            numbers=numbers,
            questions=look_data(asked),
        )


def export(
    context: Context,
    *,
    file: Annotated[Path, argument("FILE.csv", "Where to write them.")],
    replace: Replace = False,
) -> Answer:
    """Write the shots to a spreadsheet file."""
    check_place(file, example="shots.csv", replace=replace)
    with context.book() as book:
        record = current(book)
        shots = book.shots(record.id)
        export_csv(shots, file, replace=replace)
        said = words.exported_said(record.pairing.title, len(shots), file)
        return answered(said, pairing=record.id, file=file.absolute(), shots=len(shots))


def check(context: Context) -> Answer:
    """Check the logbook and its journal for damage."""
    with context.book() as book:
        if book.current_lost():
            raise noted(LogbookDamaged(words.current_lost(book.path)), NEXT_STEP["choice"])
        if findings := book.check():
            raise LogbookDamaged(words.not_whole(book.path, findings))
        return answered(words.whole_said(book.path), logbook=book.path, findings=findings)


def backup(context: Context) -> Answer:
    """Make a dated copy of the logbook beside it."""
    with context.book() as book:
        copy = book.back_up()
        return answered(words.copied_said(copy), logbook=book.path, copy=copy)


def restore(
    context: Context,
    *,
    source: Annotated[Text, argument("SOURCE", _SOURCE)] = None,
    replace: Annotated[bool, flag("--replace", "Even though nothing is wrong with the logbook.")] = False,
) -> Answer:
    """Rebuild the logbook from its journal or a copy; without SOURCE, list them.

    What stood in the logbook's place is kept beside it.
    """
    path = logbook_file.home_folder(context.home, context.environ) / logbook_file.NAME
    if source is None:
        return _listed(context, path)
    chosen = _chosen(path, source)
    try:
        end = restored(path, chosen, now=context.now, wait_s=WAIT_S, replace=replace)
    except NothingWrong as error:
        raise noted(error, words.GO_BACK_ALL_THE_SAME) from None
    return answered(
        words.restored_said(end),
        logbook=path,
        source=end.source,
        aside=end.aside,
        left_out_rows=end.unfit,
        holds=_held_data(end.logbook),
    )


def _where(bad: BadValue, by_file: dict[Path, list[Shot]]) -> Refused:
    """The same with the file and the row that it is in: only the logbook knows which time hasn't come yet."""
    for file, shots in by_file.items():
        for number, shot in enumerate(shots, start=1):
            if bad.field == "pulled_at" and shot.pulled_at is not None and shot.pulled_at.isoformat() == bad.value:
                return BadFile(file.name, [words.bad_time(number, bad.value, bad.accepted)])
    return bad


def _listed(context: Context, path: Path) -> Answer:
    state, found = state_of(path, now=context.now, wait_s=WAIT_S), dated_copies(path)
    journal = held(journal_of(path)) if stands(journal_of(path)) else None
    return answered(
        words.copies_said(state, held(path), journal, found),
        logbook=path,
        there=state.there,
        sound=state.sound,
        why=state.why,
        journal=None if journal is None else _held_data(journal),
        copies=[_held_data(copy) for copy in found],
    )


def _chosen(path: Path, name: str) -> Path:
    """What is gone back to. Raises NotFound."""
    folder = path.parent / copies.FOLDER
    if name == JOURNAL:
        if stands(journal_of(path)):
            return journal_of(path)
        missing = words.no_journal(journal_of(path))
    elif name == LATEST:
        if (first := next(iter(dated_copies(path)), None)) is not None and first.problem is None:
            return first.path
        missing = words.no_copy(folder)
    else:
        for copy in (folder / name, Path(name)):
            if stands(copy):
                return copy
        missing = words.no_copy(folder, printable(name))
    raise noted(NotFound(missing), words.WHAT_THERE_IS)


def _held_data(it: Held) -> dict[str, object]:
    return {
        "file": it.path,
        "pairings": it.pairings,
        "shots": it.shots,
        "last_at": it.last_at,
        "missing_lines": it.missing,
        "problem": it.problem,
    }
