"""restore: back to a dated copy when the logbook is damaged."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from dialopt.errors import NotFound
from dialopt.logbook import backup, file
from dialopt.logbook.book import WAIT_S
from dialopt.logbook.copies import Held, dated_copies, held
from dialopt.logbook.home import home_folder
from dialopt.logbook.restore import NothingWrong, Restored, State, restored, state_of
from dialopt.logbook.store.words import printable
from dialopt.logbook.whole_file import stands
from dialopt.shell.context import Context as Desk
from dialopt.shell.in_use import GRINDER
from dialopt.shell.register import command
from dialopt.shell.render import Answer

LATEST, SALVAGE = "latest", "salvage"
FROM_LATEST = f"`dialopt restore {LATEST}` brings the fullest copy back and adds what the damaged file still yields."
FROM_NOTHING = f"`dialopt restore {SALVAGE}` builds the logbook anew from what the damaged file still yields."
NOTHING_TAKEN = "nothing could be taken from the damaged file: it can't be read, or isn't a later state of this copy"
GO_BACK = "`dialopt restore NAME --replace` goes back to a copy; the logbook of now is kept as one more."


def register(app: typer.Typer) -> None:
    """Adds the command."""
    command(app, "restore")(restore)


def restore(
    desk: Desk,
    *,
    copy: Annotated[
        str | None,
        typer.Argument(
            metavar="COPY",
            help=f"A copy by name; {LATEST}: the fullest; {SALVAGE}: none, only what the damaged file yields.",
        ),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Go back though nothing is wrong with the logbook.")
    ] = False,
) -> Answer:
    """Bring a dated copy of the logbook back; without COPY, list them.

    What can still be read of a damaged logbook is added to the copy, and the damaged file is kept beside it.
    """
    path = home_folder(desk.home, desk.environ) / file.NAME
    if copy is None:
        return _listed(path, state_of(path, now=desk.now, wait_s=WAIT_S), dated_copies(path))
    chosen = [None] if copy == SALVAGE else _chosen(desk, path, copy)
    try:
        return _done(path, restored(path, chosen, now=desk.now, wait_s=WAIT_S, replace=replace))
    except NothingWrong as error:
        if copy == SALVAGE:
            raise
        error.add_note("`--replace` goes back all the same; the logbook of now is then kept as one more copy.")
        raise


def _listed(path: Path, state: State, found: list[Held]) -> Answer:
    return Answer(
        did=state.why or f"The logbook {path} is whole: {_held_words(held(path))}.",
        lines=tuple(f"  {copy.path.name}  {_held_words(copy)}" for copy in found) or ("  There is no dated copy yet.",),
        next_step=_way_on(state, usable=any(copy.trouble is None for copy in found)),
        data={
            "logbook": path,
            "there": state.there,
            "sound": state.sound,
            "why": state.why,
            "copies": [_held_data(copy) for copy in found],
        },
    )


def _way_on(state: State, *, usable: bool) -> str:
    if state.sound:
        return GO_BACK if usable else "`dialopt backup` makes a dated copy."
    if usable:
        return FROM_LATEST
    return FROM_NOTHING if state.there else GRINDER


def _chosen(desk: Desk, path: Path, name: str) -> list[Path | None]:
    folder = path.parent / backup.FOLDER
    if name == LATEST:
        usable: list[Path | None] = [copy.path for copy in dated_copies(path) if copy.trouble is None]
        if usable:
            return usable
        none = NotFound(f"There is no dated copy in {folder} that can be used.")
        none.add_note(_way_on(state_of(path, now=desk.now, wait_s=WAIT_S), usable=False))
        raise none
    for copy in (folder / name, Path(name)):
        if stands(copy):
            return [copy]
    missing = NotFound(f"There is no copy {printable(name)!r}, neither in {folder} nor by that path.")
    missing.add_note("`dialopt restore` lists the copies.")
    raise missing


def _done(path: Path, end: Restored) -> Answer:
    copy, salvaged = end.copy, end.salvaged
    lines = []
    if salvaged is not None:
        lines.append(f"  Saved    {_entries(salvaged.shots)} that only the damaged file held")
        if salvaged.lost:
            lines.append(f"  Lost     at least {salvaged.lost} row{'s' * (salvaged.lost != 1)} that can't be read")
    elif end.damaged:
        lines.append(f"  Lost     {NOTHING_TAKEN}")
    if end.aside is not None:
        lines.append(f"  Aside    what stood there before is kept as {end.aside}")
    return Answer(
        did=f"Restored the logbook from {'the damaged file alone' if copy is None else copy.name}: "
        f"{_held_words(end.logbook)}.",
        lines=tuple(lines),
        next_step="`dialopt pairings` and `dialopt shots` show what is there; what is missing can be logged again.",
        data={
            "logbook": path,
            "copy": copy,
            "aside": end.aside,
            "salvaged": None if salvaged is None else {"shots": salvaged.shots, "lost_rows": salvaged.lost},
            "holds": _held_data(end.logbook),
        },
    )


def _entries(count: int) -> str:
    return f"{count} entr{'ies' if count != 1 else 'y'} of shots"


def _held_words(it: Held) -> str:
    if it.trouble is not None:
        return it.trouble
    until = f", until {it.last_at:%Y-%m-%d %H:%M}" if it.last_at else ""
    held = f"{it.shots} shot{'s' * (it.shots != 1)} of {it.pairings} pairing{'s' * (it.pairings != 1)}{until}"
    if not it.unlisted:
        return held
    more = "1 more shot lost its" if it.unlisted == 1 else f"{it.unlisted} more shots lost their"
    return f"{held}; {more} bean or kit and can't be listed"


def _held_data(it: Held) -> dict[str, object]:
    return {
        "file": it.path,
        "pairings": it.pairings,
        "shots": it.shots,
        "unlisted": it.unlisted,
        "last_at": it.last_at,
        "trouble": it.trouble,
    }
