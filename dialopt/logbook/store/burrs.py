"""Burr sets: which a grinder has had, and the coffee that went through each, by what the shots tell."""

from __future__ import annotations

import sqlite3
from itertools import groupby, pairwise

from dialopt.logbook import trouble
from dialopt.logbook.kept import BurrSet
from dialopt.logbook.store.words import known_as, moment


def burr_sets(db: sqlite3.Connection, grinder: str) -> list[BurrSet]:
    """The burr sets of the grinder of that name, the one in it now first; empty for a grinder never kept."""
    rows = db.execute(
        "SELECT burrs, min(saved_at) FROM grinders WHERE known_as = ? GROUP BY burrs ORDER BY max(id) DESC",
        (known_as(grinder),),
    ).fetchall()
    return [_tallied(db, known_as(grinder), burrs, first) for burrs, first in rows]


def _tallied(db: sqlite3.Connection, grinder: str, burrs: str, first: str) -> BurrSet:
    rows = db.execute(
        "SELECT s.pairing_id, s.number, s.dose_g, s.grind, g.purge_g FROM shots s "
        "JOIN pairing_revisions r ON r.pairing_id = s.pairing_id "
        "AND r.revision = (SELECT max(revision) FROM pairing_revisions WHERE pairing_id = r.pairing_id) "
        "JOIN grinders g ON g.id = r.grinder_id "
        "WHERE g.known_as = ? AND g.burrs = ? AND s.act_id NOT IN (SELECT act_id FROM undone) "
        "ORDER BY s.pairing_id, s.number, s.revision",
        (grinder, burrs),
    )
    # The last row of a number is its latest standing revision.
    live = list({(row[0], row[1]): row for row in rows}.values())
    purged_g = 0.0
    for _, of_one_pairing in groupby(live, key=lambda row: row[0]):
        grinds = [(row[3], row[4]) for row in of_one_pairing]
        purged_g += sum(purge for (before, _), (after, purge) in pairwise(grinds) if after != before)
    with trouble.reading_back():
        opened_at = moment(first)
    return BurrSet(
        burrs=burrs, opened_at=opened_at, shots=len(live), dosed_g=sum(row[2] for row in live), purged_g=purged_g
    )
