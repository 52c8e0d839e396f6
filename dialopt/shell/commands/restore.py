"""restore: the logbook anew from its journal, or back to a dated copy."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from dialopt.errors import NotFound
from dialopt.logbook import backup, file
from dialopt.logbook.book import WAIT_S
from dialopt.logbook.journal import journal_of
from dialopt.logbook.restore import Held, NothingWrong, Restored, State, dated_copies, held, restored, state_of
from dialopt.logbook.store.words import printable
from dialopt.logbook.whole_file import stands
from dialopt.shell.context import Context
from dialopt.shell.in_use import GRINDER
from dialopt.shell.render import Answer

JOURNAL, LATEST = "journal", "latest"
FROM_JOURNAL = f"`dialopt restore {JOURNAL}` builds the logbook anew, with every confirmed shot."
FROM_LATEST = f"`dialopt restore {LATEST}` goes back to the fullest copy."
GO_BACK = "`dialopt restore NAME --replace` goes back to a copy; the logbook of now is kept as one more."


def restore(
    context: Context,
    *,
    source: Annotated[
        str | None,
        typer.Argument(
            metavar="SOURCE",
            help=f"{JOURNAL}: everything up to the last confirmed shot; {LATEST}: the fullest copy; or a file by name.",
        ),
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Even though nothing is wrong with the logbook.")] = False,
) -> Answer:
    """Rebuild the logbook from its journal or a copy; without SOURCE, list them.

    What stood in the logbook's place is kept beside it.
    """
    path = file.home_folder(context.home, context.environ) / file.NAME
    if source is None:
        return _listed(path, state_of(path, now=context.now, wait_s=WAIT_S))
    chosen = _chosen(context, path, source)
    try:
        return _done(path, restored(path, chosen, now=context.now, wait_s=WAIT_S, replace=replace))
    except NothingWrong as error:
        error.add_note("`--replace` goes back all the same; the logbook of now is then kept as one more copy.")
        raise


def _listed(path: Path, state: State) -> Answer:
    found = dated_copies(path)
    journal = held(journal_of(path)) if stands(journal_of(path)) else None
    usable = {
        JOURNAL: journal is not None and journal.problem is None,
        LATEST: any(copy.problem is None for copy in found),
    }
    lines = [f"  {it.path.name}  {_held_words(it)}" for it in (*([journal] if journal else []), *found)]
    return Answer(
        did=state.why or f"The logbook {path} is whole: {_held_words(held(path))}.",
        lines=tuple(lines) or ("  There is no journal and no dated copy yet.",),
        next_step=_way_on(state, usable),
        data={
            "logbook": path,
            "there": state.there,
            "sound": state.sound,
            "why": state.why,
            "journal": None if journal is None else _held_data(journal),
            "copies": [_held_data(copy) for copy in found],
        },
    )


def _way_on(state: State, usable: dict[str, bool]) -> str:
    if state.sound:
        return GO_BACK if usable[LATEST] else "`dialopt backup` makes a dated copy."
    if usable[JOURNAL]:
        return FROM_JOURNAL
    if usable[LATEST]:
        return FROM_LATEST
    return "Move the file away to start a new logbook." if state.there else GRINDER


def _chosen(context: Context, path: Path, name: str) -> Path:
    folder = path.parent / backup.FOLDER
    if name == JOURNAL:
        if stands(journal_of(path)):
            return journal_of(path)
        missing = NotFound(f"There is no journal {journal_of(path)}.")
    elif name == LATEST:
        if (first := next(iter(dated_copies(path)), None)) is not None and first.problem is None:
            return first.path
        missing = NotFound(f"There is no dated copy in {folder} that can be used.")
    else:
        for copy in (folder / name, Path(name)):
            if stands(copy):
                return copy
        missing = NotFound(f"There is no copy {printable(name)!r}, neither in {folder} nor by that path.")
    missing.add_note("`dialopt restore` lists what there is.")
    raise missing


def _done(path: Path, end: Restored) -> Answer:
    lines = []
    if missing := end.logbook.missing:
        lines.append(f"  Lost     {missing} line{'s' * (missing != 1)} of the journal can't be read")
    if end.unfit:
        lines.append(f"  Lost     {end.unfit} row{'s' * (end.unfit != 1)} that rest on what can't be read")
    if end.aside is not None:
        lines.append(f"  Aside    what stood there before is kept as {end.aside}")
    return Answer(
        did=f"Restored the logbook from {end.source.name}: {_held_words(end.logbook)}.",
        lines=tuple(lines),
        next_step="`dialopt pairings` and `dialopt shots` show what is there.",
        data={
            "logbook": path,
            "source": end.source,
            "aside": end.aside,
            "left_out_rows": end.unfit,
            "holds": _held_data(end.logbook),
        },
    )


def _held_words(it: Held) -> str:
    if it.problem is not None:
        return it.problem
    until = f", until {it.last_at:%Y-%m-%d %H:%M}" if it.last_at else ""
    missing = f"; {it.missing} line{'s' * (it.missing != 1)} can't be read" if it.missing else ""
    return f"{it.shots} shot{'s' * (it.shots != 1)} of {it.pairings} pairing{'s' * (it.pairings != 1)}{until}{missing}"


def _held_data(it: Held) -> dict[str, object]:
    return {
        "file": it.path,
        "pairings": it.pairings,
        "shots": it.shots,
        "last_at": it.last_at,
        "missing_lines": it.missing,
        "problem": it.problem,
    }
