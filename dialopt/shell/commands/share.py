"""share, receive: a dial-in to the roaster, and somebody else's dial-in as a head start."""

from __future__ import annotations

from dataclasses import asdict, replace
from pathlib import Path
from shlex import quote
from typing import Annotated

from dialopt.errors import Refused
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import Evidence, PairingRecord, Received
from dialopt.logbook.share import read_share, share_csv, share_json
from dialopt.logbook.whole_file import write_whole
from dialopt.shell.context import SEED, Context, best_effort, if_known
from dialopt.shell.in_use import KIT, carried_data, carried_lines, current, in_use, next_to_set_up
from dialopt.shell.options import Notes, Replace, Seed, argument, option
from dialopt.shell.parsers import check_place
from dialopt.shell.render import Answer
from dialopt.text import terminal as words
from dialopt.text.formats import joined
from dialopt.trade.bean import Bean
from dialopt.trade.checks import LONGEST_NAME, text
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

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
        raise Refused(f"A share file ends in .json or .csv; {file.name!r} doesn't.")
    check_place(file, example="for-the-roaster.json", replace=replace)
    with context.book() as book:
        record = current(book)
        if not record.shots:
            nothing = Refused("There is no shot to share yet.")
            nothing.add_note("`dialopt shot` logs one.")
            raise nothing
        evidence, advice = context.advised(book, record.id, seed=seed)
        from dialopt.engine.grinder_independent import grinder_independent

        recipe = grinder_independent(advice, evidence.shots)
        whole = file.suffix.lower() == ".json"
        content = (
            share_json(advice, evidence.shots, recipe, now=context.now(), notes=notes) if whole else share_csv(recipe)
        )
        write_whole(file, content.encode())
        content = f"its {record.shots} shot{'s' * (record.shots != 1)}, {'with' if notes else 'without'} the notes"
        return Answer(
            did=f"Wrote the dial-in of {record.pairing.title} to {file}" + (f", {content}." if whole else "."),
            lines=words.grinder_independent_lines(recipe),
            next_step="send it beside the report; `dialopt receive` reads it on another logbook."
            if whole
            else "send it beside the report; a FILE.json would read back.",
            data={"file": file.absolute(), "recipe": asdict(recipe)},
        )


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
        raise Refused(f"There is no shot in {file.name}, so nothing to learn from.")
    with context.book() as book:
        pairing = _as_theirs(book, sent.pairing, sender)
        used = in_use(book)
        received = book.receive(pairing, sent.shots, file.name)
        number = received.pairing_id
        evidence = (
            best_effort(None, book.evidence, used.id) if used and used.pairing.bean.is_coffee_of(pairing.bean) else None
        )
        return Answer(
            did=f"Took in {_counted(received)} of {pairing.title}, scored by {sender}, as pairing {number}"
            + ("; yours stays in use." if used else "."),
            lines=(
                *_left_out_lines(received),
                *_gone_lines(received),
                *(("  Their sweet spot:", *words.grinder_independent_lines(sent.recipe)) if sent.recipe else ()),
                *_age_lines(sent.pairing.bean, sent.shots),
                *carried_lines(evidence),
            ),
            next_step=best_effort(KIT, _head_start, book, used, pairing, evidence, number),
            data={
                "pairing": number,
                "title": pairing.title,
                "taster": sender,
                "shots": received.new,
                "amended": received.amended,
                "known_elsewhere": len(received.elsewhere),
                "gone": list(received.gone),
                "recipe": sent.recipe and asdict(sent.recipe),
                "carried": carried_data(evidence),
            },
        )


def _counted(received: Received) -> str:
    """What is new of it, e.g. "1 shot and 2 amended ones"."""
    counts = [f"{received.new} shot{'s' * (received.new != 1)}"] if received.new or not received.amended else []
    if received.amended:
        counts.append(f"{received.amended} amended {'one' if counts else 'shot'}{'s' * (received.amended != 1)}")
    return " and ".join(counts)


def _left_out_lines(received: Received) -> tuple[str, ...]:
    """Which of the shots that were sent another pairing holds."""
    if not received.elsewhere:
        return ()
    many = len(received.elsewhere)
    there = "pairing " + joined([str(number) for number in sorted(set(received.elsewhere))])
    return (f"  Left out {many} shot{'s' * (many != 1)} that {there} holds: twice they would count twice",)


def _gone_lines(received: Received) -> tuple[str, ...]:
    """Which shots aren't in what was sent any more, and how they are kept from counting here."""
    if not received.gone:
        return ()
    several = len(received.gone) > 1
    which = f"shot{'s' * several} {joined([str(number) for number in received.gone])}"
    are, them, first = ("are", "them", "the first") if several else ("is", "it", "it")
    return (
        f"  Mind     {which} came from them before and {are} not in what they sent now; if they took {them} back,",
        f"           `dialopt use {received.pairing_id}`, then `dialopt amend {received.gone[0]} --fault other` keeps "
        f"{first} from counting",
    )


def _as_theirs(book: Logbook, theirs: Pairing, sender: str) -> Pairing:
    """Their pairing with palate, kit and bag that can't be taken for one's own."""
    return replace(
        theirs,
        bean=_coffee(book, theirs.bean, sender),
        grinder=replace(theirs.grinder, name=_of(theirs.grinder.name, sender)),
        machine=replace(theirs.machine, name=_of(theirs.machine.name, sender)),
        basket=replace(theirs.basket, name=_of(theirs.basket.name, sender)),
        taster=sender,
    )


def _coffee(book: Logbook, theirs: Bean, sender: str) -> Bean:
    """The bean as this logbook knows it, so that theirs doesn't become its newest version.

    One that isn't known comes without what is true of their bag alone, one of the same name that somebody else roasted
    under a name of its own.
    """
    coffee = replace(theirs, roasted_on=None, opened_on=None, bag_g=None)
    mine = if_known(book.bean, theirs.name)
    if mine is None:
        return coffee
    if mine.roaster and theirs.roaster and not same_name(mine.roaster, theirs.roaster):
        return replace(coffee, name=_of(theirs.name, sender))
    return mine


def _of(name: str, sender: str) -> str:
    whose = f" of {sender}"
    return name[: LONGEST_NAME - len(whose)] + whose


def _age_lines(bean: Bean, shots: list[Shot]) -> tuple[str, ...]:
    """How fresh their beans were, where roasting date and pulls are noted and go together."""
    days = [shot.pulled_at.date() for shot in shots if shot.pulled_at is not None]
    if bean.roasted_on is None or not days or min(days) < bean.roasted_on:
        return ()
    first, last = ((day - bean.roasted_on).days for day in (min(days), max(days)))
    span = f"{first} to {last} days" if first != last else f"{first} day{'s' * (first != 1)}"
    return (f"  Beans    pulled {span} off roast",)


def _head_start(
    book: Logbook, used: PairingRecord | None, pairing: Pairing, evidence: Evidence | None, number: int
) -> str:
    """How it becomes a head start from here. evidence: what advice on one's own pairing with that bean rests on."""
    if used is None:
        return f"{next_to_set_up(book)[:-1]}; then a pairing with that bean starts from it."
    if evidence is not None:
        if number in [case.pairing_id for case in evidence.read]:
            return "`dialopt next` starts from it; your own shots soon overrule it."
        return "your own pairings with that bean tell more, so `dialopt next` goes by these; this one is kept."
    return (
        f"`dialopt pairing --bean {quote(pairing.bean.name)}` sets up your own pairing with it, which starts from it."
    )
