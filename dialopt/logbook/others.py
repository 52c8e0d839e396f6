"""What is somebody else's, and which pairings have to do with one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dialopt.logbook.records import Entry, Operation, PairingRecord
from dialopt.trade.bean import Bean
from dialopt.trade.checks import LONGEST_NAME
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


def as_theirs(theirs: Pairing, sender: str, mine: Bean | None) -> Pairing:
    """Their pairing with palate, kit and bag that can't be taken for one's own. mine: the bean of that name here."""
    return replace(
        theirs,
        bean=_coffee(theirs.bean, sender, mine),
        grinder=replace(theirs.grinder, name=_of(theirs.grinder.name, sender)),
        machine=replace(theirs.machine, name=_of(theirs.machine.name, sender)),
        basket=replace(theirs.basket, name=_of(theirs.basket.name, sender)),
        taster=sender,
    )


def pulled_here(record: PairingRecord, entries: Sequence[Entry], history: Sequence[Operation]) -> list[Shot]:
    """The shots that were pulled here: all of one's own pairing; of somebody else's only those that were logged."""
    if record.pairing.taster is None:
        return [entry.shot for entry in entries]
    logged = {entry.number for operation in history if operation.kind == "log" for entry in operation.entries}
    return [entry.shot for entry in entries if entry.number in logged]


def related(here: PairingRecord, records: Sequence[PairingRecord]) -> list[PairingRecord]:
    """The others with shots that share its bean or its grinder, in the order given."""
    bean, grinder = here.pairing.bean.name, here.pairing.grinder.name
    return [
        it
        for it in records
        if it.id != here.id
        and it.shots
        and (same_name(it.pairing.bean.name, bean) or same_name(it.pairing.grinder.name, grinder))
    ]


def _coffee(theirs: Bean, sender: str, mine: Bean | None) -> Bean:
    """The bean as this logbook knows it, so that theirs doesn't become its newest version.

    One that isn't known comes without what is true of their bag alone, one of the same name that somebody else roasted
    under a name of its own.
    """
    coffee = replace(theirs, roasted_on=None, opened_on=None, bag_g=None)
    if mine is None:
        return coffee
    if mine.roaster and theirs.roaster and not same_name(mine.roaster, theirs.roaster):
        return replace(coffee, name=_of(theirs.name, sender))
    return mine


def _of(name: str, sender: str) -> str:
    whose = f" of {sender}"
    return name[: LONGEST_NAME - len(whose)] + whose
