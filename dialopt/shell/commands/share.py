"""share, receive: a dial-in to the roaster, and somebody else's dial-in as a head start."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Annotated

from dialopt.errors import Refused
from dialopt.logbook.book import Logbook
from dialopt.logbook.others import as_theirs
from dialopt.logbook.records import Evidence, PairingRecord
from dialopt.logbook.set_up import in_use
from dialopt.logbook.share import read_share, share_csv, share_json
from dialopt.logbook.whole_file import write_whole
from dialopt.shell.context import SEED, Context, best_effort, if_known, noted
from dialopt.shell.in_use import carried_data, carried_lines, current, next_to_set_up
from dialopt.shell.options import Notes, Replace, Seed, argument, option
from dialopt.shell.parsers import check_place
from dialopt.shell.render import Answer, answered
from dialopt.text import files as words
from dialopt.text.setting_up import KIT
from dialopt.trade.checks import LONGEST_NAME, text
from dialopt.trade.freshness import pulled_span
from dialopt.trade.pairing import Pairing

_SUFFIXES = (".json", ".csv")


def share(
    context: Context,
    *,
    file: Annotated[Path, argument("FILE", "FILE.json holds all and reads back; FILE.csv the recipe alone.")],
    notes: Notes = False,
    replace: Replace = False,
    seed: Seed = SEED,
) -> Answer:
    """Write the dial-in for the roaster, in terms that need no dial."""
    if file.suffix.lower() not in _SUFFIXES:
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
