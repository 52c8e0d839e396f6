"""The tables, and the steps that led to them.

A change to the tables is a new step at the end of `STEPS`; a step that was ever released is never edited.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

APPLICATION_ID = 0x6469616C
"""Stands in the file's header; the letters "dial" in ASCII."""

TABLES = (
    "grinders",
    "machines",
    "baskets",
    "beans",
    "pairings",
    "pairing_revisions",
    "acts",
    "shots",
    "undone",
    "advice",
)
"""All but the settings, each after those that it refers to. Their rows are added, and never changed."""

KEYS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(TABLES, ("id",)),
    "pairing_revisions": ("pairing_id", "revision"),
    "undone": ("act_id",),
    "settings": ("name",),
}
"""What tells the rows of a table apart."""


Step = Callable[[sqlite3.Connection], None]
"""Takes a logbook from one schema to the next inside the transaction that it is given. The n-th step makes schema n."""


def statements(*sql: str) -> Step:
    """A step that runs these statements. (sqlite3's executescript won't do: it commits first.)"""

    def step(db: sqlite3.Connection) -> None:
        for statement in sql:
            db.execute(statement)

    return step


def _append_only(table: str) -> tuple[str, str]:
    # Held by the file itself, so that no later code can rewrite what a person noted.
    return (
        f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} "
        f"BEGIN SELECT raise(ABORT, '{table} is append-only'); END",
        f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} "
        f"BEGIN SELECT raise(ABORT, '{table} is append-only'); END",
    )


_first = statements(
    # Kit and beans. `known_as` is the name as it is looked up; the row with the highest id is the newest version.
    """CREATE TABLE grinders (
        id INTEGER PRIMARY KEY, known_as TEXT NOT NULL, saved_at TEXT NOT NULL, name TEXT NOT NULL,
        grind_low REAL NOT NULL, grind_high REAL NOT NULL, grind_step REAL NOT NULL,
        finer TEXT NOT NULL CHECK (finer IN ('down', 'up')), burrs TEXT NOT NULL, purge_g REAL NOT NULL
    ) STRICT""",
    """CREATE TABLE machines (
        id INTEGER PRIMARY KEY, known_as TEXT NOT NULL, saved_at TEXT NOT NULL, name TEXT NOT NULL,
        temp_c_low REAL NOT NULL, temp_c_high REAL NOT NULL, temp_c_step REAL NOT NULL
    ) STRICT""",
    """CREATE TABLE baskets (
        id INTEGER PRIMARY KEY, known_as TEXT NOT NULL, saved_at TEXT NOT NULL, name TEXT NOT NULL,
        dose_g_low REAL NOT NULL, dose_g_high REAL NOT NULL, dose_g_step REAL NOT NULL
    ) STRICT""",
    """CREATE TABLE beans (
        id INTEGER PRIMARY KEY, known_as TEXT NOT NULL, saved_at TEXT NOT NULL, name TEXT NOT NULL,
        roaster TEXT, origin TEXT, process TEXT, roast TEXT, roasted_on TEXT, bag_g REAL
    ) STRICT""",
    *(
        f"CREATE INDEX {table}_known_as ON {table} (known_as, id)"
        for table in ("grinders", "machines", "baskets", "beans")
    ),
    # A pairing is its number; what it consists of may be amended, so it stands in revisions.
    "CREATE TABLE pairings (id INTEGER PRIMARY KEY) STRICT",
    """CREATE TABLE pairing_revisions (
        pairing_id INTEGER NOT NULL REFERENCES pairings, revision INTEGER NOT NULL CHECK (revision >= 1),
        saved_at TEXT NOT NULL,
        bean_id INTEGER NOT NULL REFERENCES beans, grinder_id INTEGER NOT NULL REFERENCES grinders,
        machine_id INTEGER NOT NULL REFERENCES machines, basket_id INTEGER NOT NULL REFERENCES baskets,
        ratio REAL NOT NULL, drink TEXT NOT NULL,
        PRIMARY KEY (pairing_id, revision)
    ) STRICT, WITHOUT ROWID""",
    "CREATE INDEX pairing_revisions_bean ON pairing_revisions (bean_id)",
    # An act, an operation, is what undo takes back as a whole. A shot's number stays, its revisions pile up.
    """CREATE TABLE acts (
        id INTEGER PRIMARY KEY, pairing_id INTEGER NOT NULL REFERENCES pairings,
        kind TEXT NOT NULL CHECK (kind IN ('log', 'amend', 'import')), source TEXT, at TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX acts_pairing ON acts (pairing_id, id)",
    """CREATE TABLE shots (
        id INTEGER PRIMARY KEY, act_id INTEGER NOT NULL REFERENCES acts,
        pairing_id INTEGER NOT NULL REFERENCES pairings, number INTEGER NOT NULL CHECK (number >= 1),
        revision INTEGER NOT NULL CHECK (revision >= 1),
        grind REAL NOT NULL, dose_g REAL NOT NULL, temp_c REAL NOT NULL, yield_g REAL, time_s REAL, score REAL,
        balance REAL, fault TEXT, tds_pct REAL, pulled_at TEXT, note TEXT,
        UNIQUE (pairing_id, number, revision)
    ) STRICT""",
    "CREATE TABLE undone (act_id INTEGER PRIMARY KEY REFERENCES acts, at TEXT NOT NULL) STRICT",
    # saw: which revisions it rested on; told: what it said; both JSON.
    """CREATE TABLE advice (
        id INTEGER PRIMARY KEY, pairing_id INTEGER NOT NULL REFERENCES pairings, at TEXT NOT NULL,
        seed INTEGER NOT NULL, version TEXT NOT NULL, saw TEXT NOT NULL, told TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX advice_pairing ON advice (pairing_id, id)",
    # The one table whose rows are replaced: what a person prefers now.
    "CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID",
    *(trigger for table in TABLES for trigger in _append_only(table)),
)

_suggestions = statements(
    *(f"ALTER TABLE beans ADD COLUMN suggested_{field} REAL" for field in ("dose_g", "ratio", "time_s", "temp_c"))
)
_brew_water = statements("ALTER TABLE pairing_revisions ADD COLUMN water TEXT")
_species_and_opening = statements(
    "ALTER TABLE beans ADD COLUMN species TEXT", "ALTER TABLE beans ADD COLUMN opened_on TEXT"
)
# Histories that were received before are read as one's own, as they were then: nothing tells them apart.
_taster = statements("ALTER TABLE pairing_revisions ADD COLUMN taster TEXT")
# What a large logbook would otherwise be read whole for: the shots of an act, and which pairings were pulled lately.
_ways_in = statements(
    "CREATE INDEX shots_act ON shots (act_id)",
    "CREATE INDEX shots_pulled_at ON shots (pulled_at, pairing_id)",
)


# Held a checksum until `_journal`; nothing reads it any more, so that it isn't reckoned when an old logbook comes by.
_digests = statements("ALTER TABLE shots ADD COLUMN digest INTEGER")
_what_counts = statements(
    "ALTER TABLE pairing_revisions ADD COLUMN counts TEXT NOT NULL DEFAULT 'cups'",
    "ALTER TABLE pairing_revisions ADD COLUMN bags_to_come INTEGER NOT NULL DEFAULT 0",
)
# Where in the journal this logbook stands: number, end in bytes and check of its last line. No row: nowhere.
_journal = statements(
    "ALTER TABLE shots DROP COLUMN digest",
    """CREATE TABLE journal (
        id INTEGER PRIMARY KEY CHECK (id = 1), line INTEGER NOT NULL, size INTEGER NOT NULL, "check" TEXT NOT NULL
    ) STRICT""",
)
_preinfusion = statements("ALTER TABLE shots ADD COLUMN preinfusion_s REAL")
# A ratio that varies is a dial, whose low end stands where a fixed one does.
_ratio = statements(
    "ALTER TABLE shots ADD COLUMN ratio REAL",
    "ALTER TABLE pairing_revisions ADD COLUMN ratio_high REAL",
    "ALTER TABLE pairing_revisions ADD COLUMN ratio_step REAL",
)

STEPS: tuple[Step, ...] = (
    _first,
    _suggestions,
    _brew_water,
    _species_and_opening,
    _taster,
    _ways_in,
    _digests,
    _what_counts,
    _journal,
    _preinfusion,
    _ratio,
)
"""Schema n is what the first n steps make."""
