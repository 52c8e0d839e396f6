"""import, export, share, receive, check, backup, restore: shots in and out, and the logbook's health."""

from __future__ import annotations

import os
from dataclasses import asdict
from pathlib import Path
from typing import Annotated

from dialopt.errors import BadValue, LogbookDamaged, NotFound, Refused
from dialopt.logbook import backup as copies
from dialopt.logbook import file as logbook_file
from dialopt.logbook.book import WAIT_S, Logbook
from dialopt.logbook.journal import journal_of
from dialopt.logbook.others import as_theirs
from dialopt.logbook.records import Evidence, PairingRecord
from dialopt.logbook.restore import Held, NothingWrong, dated_copies, held, restored, state_of
from dialopt.logbook.set_up import in_use
from dialopt.logbook.share import read_share, share_csv, share_json
from dialopt.logbook.spreadsheet import BadFile, export_csv, read_csv
from dialopt.logbook.store.words import printable
from dialopt.logbook.whole_file import stands, write_whole
from dialopt.shell.commands.shots import look_data
from dialopt.shell.context import SEED, Context, best_effort, if_known, noted
from dialopt.shell.in_use import carried_data, carried_lines, current, looked_at, next_to_set_up
from dialopt.shell.options import Notes, Replace, Seed, Text, argument, flag, option
from dialopt.shell.parsers import check_place
from dialopt.shell.render import Answer, answered
from dialopt.text import files as words
from dialopt.text.setting_up import KIT, NEXT_STEP
from dialopt.trade.checks import LONGEST_NAME, text
from dialopt.trade.freshness import pulled_span
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

_SHARED_AS = (".json", ".csv")
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


def share(
    context: Context,
    *,
    file: Annotated[Path, argument("FILE", "FILE.json holds all and reads back; FILE.csv the recipe alone.")],
    notes: Notes = False,
    replace: Replace = False,
    seed: Seed = SEED,
) -> Answer:
    """Write the dial-in for the roaster, in terms that need no dial."""
    if file.suffix.lower() not in _SHARED_AS:
        raise Refused(words.no_share_file(file.name))
    check_place(file, example="for-the-roaster.json", replace=replace)
    with context.book() as book:
        record = current(book)
        if not record.shots:
            raise noted(Refused(words.NOTHING_TO_SHARE), words.LOG_ONE)
        evidence, advice = context.advised(book, record.id, seed=seed)
        from dialopt.engine.grinder_independent import grinder_independent

        recipe = grinder_independent(advice, evidence.shots)
        whole = file.suffix.lower() == ".json"
        told = (
            share_json(advice, evidence.shots, recipe, now=context.now(), notes=notes) if whole else share_csv(recipe)
        )
        write_whole(file, told.encode())
        said = words.shared_said(record, recipe, file, whole=whole, notes=notes)
        return answered(said, file=file.absolute(), recipe=asdict(recipe))


def receive(
    context: Context,
    *,
    file: Annotated[Path, argument("FILE", "A share file (JSON) or a report (HTML).")],
    sender: Annotated[str, option("NAME", "Whose dial-in it is.", "--from")],
) -> Answer:
    """Take in somebody else's dial-in: a head start for that bean on your own kit.

    Their palate isn't taken for yours, nor their kit for yours.
    """
    sender = text("from", sender, LONGEST_NAME // 2)
    sent = read_share(file)
    if not sent.shots:
        raise Refused(words.nothing_to_learn(file.name))
    with context.book() as book:
        pairing = as_theirs(sent.pairing, sender, if_known(book.bean, sent.pairing.bean.name))
        used = in_use(book)
        received = book.receive(pairing, sent.shots, file.name)
        same_coffee = used is not None and used.pairing.bean.is_coffee_of(pairing.bean)
        evidence = best_effort(None, book.evidence, used.id) if used and same_coffee else None
        fresh, carried = pulled_span(sent.pairing.bean, sent.shots), carried_lines(evidence)
        step = best_effort(KIT, _head_start, book, used, pairing, evidence, received.pairing_id)
        return answered(
            words.received_said(pairing, received, sent.recipe, fresh, carried, step, beside_own=used is not None),
            pairing=received.pairing_id,
            title=pairing.title,
            taster=sender,
            shots=received.new,
            amended=received.amended,
            known_elsewhere=len(received.elsewhere),
            gone=list(received.gone),
            recipe=sent.recipe and asdict(sent.recipe),
            carried=carried_data(evidence),
        )


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


def _head_start(
    book: Logbook, used: PairingRecord | None, pairing: Pairing, evidence: Evidence | None, number: int
) -> str:
    """How it becomes a head start from here. evidence: what advice on one's own pairing with that bean rests on."""
    if used is None:
        return words.start_from_it(next_to_set_up(book))
    if evidence is None:
        return words.own_pairing(pairing.bean.name)
    read = number in [case.pairing_id for case in evidence.read]
    return words.STARTS_FROM_IT if read else words.OWN_TELL_MORE


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
        words.copies_said(state, held(path) if state.why is None else None, journal, found),
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
