"""A word on a pairing whose burrs are out of the grinder: what is logged under it counts for the old ones."""

from __future__ import annotations

from shlex import quote

from dialopt.logbook.book import Logbook
from dialopt.logbook.records import PairingRecord
from dialopt.trade.names import same_name


def closed_burrs_lines(book: Logbook, kept: PairingRecord) -> tuple[str, ...]:
    """That the grinder has had its burrs changed since the pairing was made, and how to go on with the new ones."""
    old, now = kept.pairing.grinder, book.grinder(kept.pairing.grinder.name)
    if same_name(old.burrs, now.burrs):
        return ()
    mind = f"  Mind     this is a pairing with the burrs {old.burrs}; {now.name} has {now.burrs} in it now"
    if kept.pairing.taster is not None:
        return (mind,)
    named = f"--bean {quote(kept.pairing.bean.name)} --grinder {quote(now.name)}"
    return (mind, f"           `dialopt pairing {named}` goes on with these")
