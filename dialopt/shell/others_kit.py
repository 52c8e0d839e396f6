"""A word on a pairing that somebody else sent: what is logged under it counts as theirs."""

from __future__ import annotations

from shlex import quote

from dialopt.logbook.records import PairingRecord


def others_kit_lines(kept: PairingRecord) -> tuple[str, ...]:
    """That kit and scores are somebody else's, and how to go on with one's own; nothing for a pairing of one's own."""
    taster, bean = kept.pairing.taster, quote(kept.pairing.bean.name)
    if taster is None:
        return ()
    return (
        f"  Mind     kit and scores of this pairing are {taster}'s; `dialopt pairing --bean {bean}` sets up your own",
    )
