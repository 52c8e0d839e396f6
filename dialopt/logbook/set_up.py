"""What is still missing on the way to a first shot, and whether a pairing uses what was just saved."""

from __future__ import annotations

from typing import Any, Literal

from dialopt.errors import NotFound
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import PairingRecord

Missing = Literal["grinder", "machine", "basket", "bean", "pairing", "choice", "shot"]


def in_use(book: Logbook) -> PairingRecord | None:
    """The pairing in use, None when none was chosen yet."""
    try:
        return book.current()
    except NotFound:
        return None


def missing(book: Logbook) -> Missing:
    """What comes next: the first piece of kit that isn't there, the bean, a pairing or the choice of one, a shot."""
    kinds: tuple[Missing, ...] = ("grinder", "machine", "basket", "bean")
    for kind in kinds:
        if not getattr(book, f"{kind}s")(at_most=1):
            return kind
    if in_use(book) is not None:
        return "shot"
    # One that somebody else sent is a head start, nothing to pull with.
    return "choice" if any(record.pairing.taster is None for record in book.pairings()) else "pairing"


def use_of(book: Logbook, record: PairingRecord, kind: str, name: str) -> Literal["as_saved", "older", "another"]:
    """Whether a pairing uses a thing as it was saved last, an older version of it, or another thing.

    A pairing keeps the version that it was set up with. kind: "grinder", "machine", "basket" or "bean".
    """
    part: Any = getattr(record.pairing, kind)
    newest = getattr(book, kind)(name)
    if part == newest:
        return "as_saved"
    return "older" if newest == getattr(book, kind)(part.name) else "another"
