"""share, receive: a dial-in to the roaster, and somebody else's dial-in as a head start."""

from __future__ import annotations

from dataclasses import asdict, replace
from pathlib import Path
from typing import Annotated

import typer

from dialopt.errors import NotFound, Refused
from dialopt.logbook.book import Logbook
from dialopt.logbook.share import read_share, share_csv, share_json
from dialopt.logbook.whole_file import refuse_taken, write_whole
from dialopt.shell import options, words
from dialopt.shell.advising import SEED, advised
from dialopt.shell.answer import Answer
from dialopt.shell.desk import Desk
from dialopt.shell.register import command
from dialopt.shell.setting_up import current
from dialopt.trade.bean import Bean
from dialopt.trade.pairing import Pairing

_SUFFIXES = (".json", ".csv")


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    command(app, "share")(share)
    command(app, "receive")(receive)


def share(
    desk: Desk,
    *,
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="FILE.json holds all and reads back; FILE.csv the recipe alone.")
    ],
    notes: Annotated[bool, typer.Option("--notes", help="Put the notes of the shots in it too.")] = False,
    replace: Annotated[bool, typer.Option("--replace", help="Replace the file when it is there already.")] = False,
    seed: options.Seed = SEED,
) -> Answer:
    """Write the dial-in for the roaster, in terms that need no dial."""
    if file.suffix.lower() not in _SUFFIXES:
        raise Refused(f"A share file ends in .json or .csv; {file.name!r} doesn't.")
    try:
        refuse_taken(file, replace=replace, example="for-the-roaster.json")
    except Refused as error:
        if file.is_file():
            error.add_note("`--replace` replaces it.")
        raise
    with desk.book() as book:
        kept = current(book)
        evidence, advice = advised(book, kept.id, today=desk.now().date(), seed=seed)
        from dialopt.decisions.dial_free import dial_free

        recipe = dial_free(advice, evidence.shots)
        whole = file.suffix.lower() == ".json"
        text = share_json(advice, evidence.shots, recipe, now=desk.now(), notes=notes) if whole else share_csv(recipe)
        write_whole(file, text.encode())
        told = f"its {kept.shots} shot{'s' * (kept.shots != 1)}, {'with' if notes else 'without'} the notes"
        return Answer(
            did=f"Wrote the dial-in of {kept.pairing.title} to {file}" + (f", {told}." if whole else "."),
            lines=words.dial_free_lines(recipe),
            next_step="send it beside the report; `dialopt receive` reads it on another logbook."
            if whole
            else "send it beside the report; a FILE.json would read back.",
            data={"file": file.absolute(), "recipe": asdict(recipe)},
        )


def receive(
    desk: Desk,
    *,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A share file (JSON) or a report (HTML).")],
    sender: Annotated[str, typer.Option("--from", metavar="NAME", help="Whose dial-in it is.")],
) -> Answer:
    """Take in somebody else's dial-in: a head start for that bean on your own kit."""
    theirs, shots = read_share(file)
    if not shots:
        raise Refused(f"There is no shot in {file.name}, so nothing to learn from.")
    with desk.book() as book:
        pairing = _told_apart(theirs, sender, _own_bean(book, theirs.bean))
        number = book.save_pairing(pairing)
        if book.shots(number):
            raise Refused(f"What {sender} sent about {pairing.title} is in the logbook already, as pairing {number}.")
        book.import_shots(number, shots, file.name)
        many = "s" * (len(shots) != 1)
        return Answer(
            did=f"Took in {len(shots)} shot{many} of {pairing.title} as pairing {number}; yours stays in use.",
            next_step="`dialopt next` on a pairing with that bean starts from it; other kit and another palate count.",
            data={"pairing": number, "title": pairing.title, "shots": len(shots)},
        )


def _own_bean(book: Logbook, theirs: Bean) -> Bean:
    """The bean as this logbook knows it, so that theirs doesn't become its newest version; else theirs."""
    try:
        return book.bean(theirs.name)
    except NotFound:
        return theirs


def _told_apart(pairing: Pairing, sender: str, bean: Bean) -> Pairing:
    """Their pairing with kit that can't be taken for one's own."""
    return replace(
        pairing,
        bean=bean,
        grinder=replace(pairing.grinder, name=_of(pairing.grinder.name, sender)),
        machine=replace(pairing.machine, name=_of(pairing.machine.name, sender)),
        basket=replace(pairing.basket, name=_of(pairing.basket.name, sender)),
    )


def _of(name: str, sender: str) -> str:
    return f"{name} of {sender}"
