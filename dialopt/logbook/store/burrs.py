"""Burr sets: which a grinder has had, and what went through each, by what the shots tell."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from dialopt.logbook import trouble
from dialopt.logbook.kept import BurrSet, LastPull
from dialopt.logbook.store import kit, pairings, shots
from dialopt.logbook.store.words import known_as, moment
from dialopt.trade.kit import Grinder
from dialopt.trade.shot import kitchen_time


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """A live shot, as far as the grinder is concerned."""

    pairing_id: int
    number: int
    at: datetime
    bean: str
    grinder: Grinder
    grind: float
    dose_g: float


def burr_sets(db: sqlite3.Connection, grinder: str) -> list[BurrSet]:
    """The burr sets of the grinder of that name, the one in it now first; empty for a grinder never kept."""
    rows = db.execute(
        "SELECT burrs, min(saved_at) FROM grinders WHERE known_as = ? GROUP BY burrs ORDER BY max(id) DESC",
        (known_as(grinder),),
    ).fetchall()
    return [_tallied(db, grinder, burrs, first) for burrs, first in rows]


def last_pull(db: sqlite3.Connection, pairing_id: int) -> LastPull | None:
    """The shot that went last through the burrs of a pairing, its own or another's. Raises NotFound."""
    grinder = pairings.by_number(db, pairing_id).pairing.grinder
    ground = _ground(db, grinder.name, grinder.burrs)
    if not ground:
        return None
    last = ground[-1]
    entry = next(entry for entry in shots.live(db, last.pairing_id) if entry.number == last.number)
    return LastPull(
        pairing_id=last.pairing_id, pairing=pairings.by_number(db, last.pairing_id).pairing, shot=entry.shot
    )


def _tallied(db: sqlite3.Connection, grinder: str, burrs: str, first: str) -> BurrSet:
    ground = _ground(db, grinder, burrs)
    purged_g = sum(
        after.grinder.purged_g(before.grind, after.grind, same_bean=before.bean == after.bean)
        for before, after in pairwise(ground)
    )
    with trouble.reading_back():
        opened_at = moment(first)
    return BurrSet(
        burrs=burrs,
        opened_at=opened_at,
        shots=len(ground),
        dosed_g=sum(one.dose_g for one in ground),
        purged_g=purged_g,
    )


def _ground(db: sqlite3.Connection, grinder: str, burrs: str) -> list[_Ground]:
    """The live shots of all pairings with these burrs in the order in which they were pulled.

    One without a time counts as pulled when it was logged; of one time, the one logged first was first.
    """
    rows = db.execute(
        "SELECT s.pairing_id, s.number, s.id, a.at, s.pulled_at, b.known_as, r.grinder_id, s.grind, s.dose_g "
        "FROM shots s JOIN acts a ON a.id = s.act_id JOIN pairing_revisions r ON r.pairing_id = s.pairing_id "
        "AND r.revision = (SELECT max(revision) FROM pairing_revisions WHERE pairing_id = r.pairing_id) "
        "JOIN grinders g ON g.id = r.grinder_id JOIN beans b ON b.id = r.bean_id "
        "WHERE g.known_as = ? AND g.burrs = ? AND s.act_id NOT IN (SELECT act_id FROM undone) "
        "ORDER BY s.pairing_id, s.number, s.revision",
        (known_as(grinder), burrs),
    )
    shelf = pairings.Shelf(db)
    logged: dict[tuple[int, int], tuple[int, str]] = {}
    live: dict[tuple[int, int], _Ground] = {}
    for pairing_id, number, row, written_at, pulled_at, bean, grinder_id, grind, dose_g in rows:
        _, logged_at = logged.setdefault((pairing_id, number), (row, written_at))
        with trouble.reading_back():
            # The last row of a number is its latest standing revision.
            live[pairing_id, number] = _Ground(
                pairing_id=pairing_id,
                number=number,
                at=kitchen_time(moment(pulled_at or logged_at)),
                bean=bean,
                grinder=shelf.get(kit.GRINDERS, grinder_id),
                grind=grind,
                dose_g=dose_g,
            )
    return sorted(live.values(), key=lambda one: (one.at, logged[one.pairing_id, one.number][0]))
