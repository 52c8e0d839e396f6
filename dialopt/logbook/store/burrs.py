"""Burr sets: which a grinder has had, and the coffee that went through each, by what the shots tell."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import datetime

from dialopt.errors import NotFound
from dialopt.logbook import error_translation
from dialopt.logbook.records import BurrSet, LastPull, PairingRecord
from dialopt.logbook.store import pairings, shots
from dialopt.logbook.store.kit import GRINDERS
from dialopt.logbook.store.recording import Recording
from dialopt.logbook.store.words import known_as
from dialopt.trade.kit import Grinder
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot, kitchen_time

# The live shots of all pairings on a grinder, as far as the grinder is concerned, and when each was pulled. One without
# a time counts as pulled when it was first logged; of one time, the one logged first was first. Times without a zone
# sort as they are written; a zone is the only sign behind the time of day. SQLite goes through
# them, since of a roastery's grinder they are tens of thousands; the join is told its order, for the other one goes
# through the shots of every grinder. With max() the other columns are those of that row, the latest standing revision.
_GROUND = """
    WITH mine AS (
        SELECT r.pairing_id, b.known_as AS bean, g.burrs, g.purge_g, g.grind_low, g.grind_step,
            round((g.grind_high - g.grind_low) / g.grind_step) AS top
        FROM pairing_revisions r JOIN grinders g ON g.id = r.grinder_id JOIN beans b ON b.id = r.bean_id
        JOIN machines m ON m.id = r.machine_id
        WHERE {}.known_as = ?1 AND r.revision = (
            SELECT max(revision) FROM pairing_revisions WHERE pairing_id = r.pairing_id
        )
    ),
    live AS (
        SELECT mine.*, s.number, s.dose_g, s.grind, s.pulled_at, s.revision, max(s.id) AS row
        FROM mine CROSS JOIN shots s ON s.pairing_id = mine.pairing_id
        WHERE s.act_id NOT IN (SELECT act_id FROM undone) GROUP BY s.pairing_id, s.number
    ),
    logged AS (
        SELECT live.*, CASE WHEN revision = 1 THEN row ELSE (
            SELECT min(id) FROM shots WHERE pairing_id = live.pairing_id AND number = live.number
            AND act_id NOT IN (SELECT act_id FROM undone)
        ) END AS first
        FROM live
    ),
    ground AS (
        SELECT burrs, pairing_id, number, first, bean, dose_g, purge_g,
            min(max(round((grind - grind_low) / grind_step), 0), top) AS setting,
            CASE
                WHEN pulled_at IS NULL THEN in_the_kitchen((
                    SELECT a.at FROM shots f JOIN acts a ON a.id = f.act_id WHERE f.id = first
                ))
                WHEN instr(pulled_at, '+') OR instr(substr(pulled_at, 12), '-') THEN in_the_kitchen(pulled_at)
                ELSE pulled_at
            END AS at
        FROM logged
    )
"""
# As Grinder.purged_g has it: the grind moved by a step of the dial, or other beans went in; a test holds them together.
_TALLIES = (
    _GROUND.format("g")
    + """,
    pulled AS (
        SELECT burrs, dose_g, purge_g, bean <> lag(bean) OVER in_turn
            OR setting <> lag(setting) OVER in_turn AS moved
        FROM ground WINDOW in_turn AS (PARTITION BY burrs ORDER BY at, first)
    )
    SELECT burrs, count(*), sum(dose_g), sum(CASE WHEN moved THEN purge_g ELSE 0.0 END) FROM pulled GROUP BY burrs
"""
)
_LATEST = "ORDER BY at DESC, first DESC LIMIT 1"
_LAST_GROUND = f"{_GROUND.format('g')} SELECT pairing_id, number FROM ground WHERE burrs = ?2 {_LATEST}"
_LAST_BREWED = f"{_GROUND.format('m')} SELECT pairing_id, number FROM ground {_LATEST}"


def burr_sets(db: sqlite3.Connection, grinder: str) -> list[BurrSet]:
    """The burr sets of the grinder of that name with what went through each, the one in it now first.

    Empty for a grinder that was never kept.
    """
    name = known_as(grinder)
    _with_kitchen_time(db)
    with error_translation.reading_back():
        tallies = {burrs: tally for burrs, *tally in db.execute(_TALLIES, (name,))}
        opened = db.execute(
            "SELECT burrs, min(saved_at) FROM grinders WHERE known_as = ? GROUP BY burrs ORDER BY max(id) DESC", (name,)
        ).fetchall()
        sets = []
        for burrs, first in opened:
            count, dosed_g, purged_g = tallies.get(burrs, (0, 0.0, 0.0))
            sets.append(
                BurrSet(
                    burrs=burrs,
                    opened_at=datetime.fromisoformat(first),
                    shots=count,
                    dosed_g=dosed_g,
                    purged_g=purged_g,
                )
            )
        return sets


def last_pull(db: sqlite3.Connection, pairing_id: int) -> LastPull | None:
    """The shot that went last through the burrs of a pairing, its own or another's; None without any.

    It is where the grind dial stands. With it comes the last one through the machine. Raises NotFound.
    """
    asked = pairings.by_number(db, pairing_id).pairing
    _with_kitchen_time(db)
    ground = db.execute(_LAST_GROUND, (known_as(asked.grinder.name), asked.grinder.burrs)).fetchone()
    if ground is None:
        return None
    brewed = db.execute(_LAST_BREWED, (known_as(asked.machine.name),)).fetchone()
    water = None if brewed in (None, ground) else _pulled(db, *brewed)
    pairing, shot = _pulled(db, *ground)
    return LastPull(pairing_id=ground[0], pairing=pairing, shot=shot, water=water)


def change(db: Recording, grinder: Grinder) -> PairingRecord | None:
    """Keeps a known grinder with other burrs in it, and opens a pairing of the bag in use with them, all in one.

    That pairing is in use from then on; a pairing that was just that before, as when burrs are put back, is taken up
    again. None when the pairing in use is on another grinder, or none is in use.
    """
    GRINDERS.save(db, grinder)
    try:
        before = pairings.current(db).pairing
    except NotFound:
        return None
    if not same_name(before.grinder.name, grinder.name):
        return None
    opened = pairings.save(db, replace(before, grinder=grinder))
    pairings.make_current(db, opened)
    return pairings.by_number(db, opened)


def _pulled(db: sqlite3.Connection, pairing_id: int, number: int) -> tuple[Pairing, Shot]:
    return pairings.by_number(db, pairing_id).pairing, shots.live_one(db, pairing_id, number).shot


def _with_kitchen_time(db: sqlite3.Connection) -> None:
    db.create_function("in_the_kitchen", 1, _in_the_kitchen, deterministic=True)


def _in_the_kitchen(stamped: str) -> str:
    return kitchen_time(datetime.fromisoformat(stamped)).isoformat()
