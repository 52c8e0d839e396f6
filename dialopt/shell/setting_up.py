"""What is still missing before a first shot can be logged."""

from __future__ import annotations

from dialopt.errors import NotFound
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import PairingRecord
from dialopt.shell.afterwards import afterwards

GRINDER = "`dialopt grinder NAME --grind LOW:HIGH:STEP --finer down` sets up the grinder."
MACHINE = "`dialopt machine NAME --temp LOW:HIGH:STEP` sets up the machine."
BASKET = "`dialopt basket NAME --dose LOW:HIGH:STEP` sets up the basket."
BEAN = "`dialopt bean NAME --roasted-on DATE` sets up the bean."
CHOOSE = "`dialopt use KEY` chooses one of `dialopt pairings`."
KIT = "`dialopt kit` shows what is set up."
PAIRING = "`dialopt pairing` puts bean and kit together."
FIRST_SHOT = (
    "`dialopt prepare` says what to see to first, `dialopt next` what to pull, `dialopt sitting` leads you through."
)


def current(book: Logbook) -> PairingRecord:
    """The pairing in use. Raises NotFound, with what to do about it as its note."""
    try:
        return book.current()
    except NotFound as error:
        error.add_note(next_to_set_up(book))
        raise


def in_use(book: Logbook) -> PairingRecord | None:
    """The pairing in use, None when none was chosen yet."""
    try:
        return book.current()
    except NotFound:
        return None


def next_to_set_up(book: Logbook) -> str:
    """The next step on the way to a first shot."""
    for there, step in (
        (book.grinders, GRINDER),
        (book.machines, MACHINE),
        (book.baskets, BASKET),
        (book.beans, BEAN),
    ):
        if not there(at_most=1):
            return step
    if in_use(book) is None:
        # One that somebody else sent is a head start, nothing to pull with.
        own = any(kept.pairing.taster is None for kept in book.pairings())
        return CHOOSE if own else PAIRING
    return FIRST_SHOT


def after_saving(book: Logbook, kind: str, name: str) -> str:
    """What is sensible once a piece of kit or a bean was saved.

    A pairing keeps the version that it was set up with, so a change in what it uses wants a word.
    """
    return afterwards(KIT, _after_saving, book, kind, name)


def _after_saving(book: Logbook, kind: str, name: str) -> str:
    kept = in_use(book)
    if kept is not None:
        part, find = getattr(kept.pairing, kind), getattr(book, kind)
        newest = find(name)
        if part != newest == find(part.name):
            return (
                f"pairing {kept.id} keeps the old version; `dialopt pairing` starts a new bag with this one, "
                "`dialopt pairing --amend` corrects the pairing and keeps its shots."
            )
        if part != newest:
            return "`dialopt pairing` sets up a pairing with it."
    return next_to_set_up(book)
