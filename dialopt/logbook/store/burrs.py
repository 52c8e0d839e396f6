"""Burr sets: which a grinder has had, and the coffee that went through each, by what the shots tell."""

from __future__ import annotations

import sqlite3

from dialopt.logbook import trouble
from dialopt.logbook.kept import BurrSet
from dialopt.logbook.store.words import known_as, moment

# Added up by SQLite: of a roastery's grinder that is tens of thousands of shots. The join is told its order, for the
# other one goes through the shots of every grinder. With max() the other columns are those of that revision.
_TALLIES = """
    WITH mine AS (
        SELECT r.pairing_id, g.burrs, g.purge_g FROM pairing_revisions r JOIN grinders g ON g.id = r.grinder_id
        WHERE g.known_as = ? AND r.revision = (
            SELECT max(revision) FROM pairing_revisions WHERE pairing_id = r.pairing_id
        )
    ),
    live AS (
        SELECT mine.burrs, mine.purge_g, s.pairing_id, s.number, s.dose_g, s.grind, max(s.revision)
        FROM mine CROSS JOIN shots s ON s.pairing_id = mine.pairing_id
        WHERE s.act_id NOT IN (SELECT act_id FROM undone) GROUP BY s.pairing_id, s.number
    ),
    pulled AS (
        SELECT burrs, dose_g, purge_g, grind <> lag(grind) OVER (PARTITION BY pairing_id ORDER BY number) AS moved
        FROM live
    )
    SELECT burrs, count(*), sum(dose_g), sum(CASE WHEN moved THEN purge_g ELSE 0.0 END) FROM pulled GROUP BY burrs
"""


def burr_sets(db: sqlite3.Connection, grinder: str) -> list[BurrSet]:
    """The burr sets of the grinder of that name, the one in it now first; empty for a grinder never kept."""
    name = known_as(grinder)
    tallies = {burrs: tally for burrs, *tally in db.execute(_TALLIES, (name,))}
    opened = db.execute(
        "SELECT burrs, min(saved_at) FROM grinders WHERE known_as = ? GROUP BY burrs ORDER BY max(id) DESC", (name,)
    ).fetchall()
    sets = []
    for burrs, first in opened:
        shots, dosed_g, purged_g = tallies.get(burrs, (0, 0.0, 0.0))
        with trouble.reading_back():
            opened_at = moment(first)
        sets.append(BurrSet(burrs=burrs, opened_at=opened_at, shots=shots, dosed_g=dosed_g, purged_g=purged_g))
    return sets
