"""The logbook as the rest of dialopt sees it: one object, one file."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from types import TracebackType

from dialopt.logbook import backup, check, error_translation, file
from dialopt.logbook.store import advice, burrs, kit, received, recording
from dialopt.logbook.store import pairings as pairing_rows
from dialopt.logbook.store import shots as shot_rows
from dialopt.logbook.store.kit import BASKETS, BEANS, GRINDERS, MACHINES
from dialopt.logbook.transactions import Transactions, reading, writing
from dialopt.trade.shot import Shot

_PREGNANT = "pregnant"
WAIT_S = 5.0
"""How long to wait for another process that is writing, s."""


class Logbook(Transactions):
    """Everything that was ever noted, in one SQLite file in the home folder.

    Each method is one transaction: when it returns, what it wrote is on disk; when it raises, nothing was changed.
    Every method may raise LogbookLocked, LogbookDamaged or, for a folder that can't be written to or a full disk,
    LogbookError. Times come from the `now` that was passed in.
    """

    @classmethod
    def open(cls, home: Path, *, now: Callable[[], datetime], wait_s: float = WAIT_S) -> Logbook:
        """The logbook in this folder, made when there is none and migrated when it is older.

        Raises LogbookError, LogbookLocked, LogbookDamaged, LogbookTooNew.
        """
        path = home / file.NAME
        return cls(path, file.opened(path, now=now, wait_s=wait_s), now)

    def close(self) -> None:
        """Lets go of the file."""
        self._db.close()

    def __enter__(self) -> Logbook:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    # Kit and beans.

    save_grinder = writing(GRINDERS.save)
    save_machine = writing(MACHINES.save)
    save_basket = writing(BASKETS.save)
    save_bean = writing(BEANS.save)
    grinder = reading(GRINDERS.named)
    machine = reading(MACHINES.named)
    basket = reading(BASKETS.named)
    bean = reading(BEANS.named)
    grinders = reading(GRINDERS.newest)
    machines = reading(MACHINES.newest)
    baskets = reading(BASKETS.newest)
    beans = reading(BEANS.newest)
    is_unused = reading(kit.is_unused)
    burr_sets = reading(burrs.burr_sets)
    change_burrs = writing(burrs.change)

    # Pairings.

    save_pairing = writing(pairing_rows.save)
    amend_pairing = writing(pairing_rows.amend)
    pairings = reading(pairing_rows.listed)
    pairing = reading(pairing_rows.found)
    current = reading(pairing_rows.current)
    current_lost = reading(pairing_rows.current_lost)
    make_current = writing(pairing_rows.make_current)

    # Shots.

    log = writing(shot_rows.log)
    import_shots = writing(shot_rows.import_shots)
    receive = writing(received.take_in)
    amend = writing(shot_rows.amend)
    undo = writing(shot_rows.undo)
    take_back = writing(shot_rows.take_back)
    entries = reading(shot_rows.live)
    entry = reading(shot_rows.live_one)
    history = reading(shot_rows.history)
    last_pull = reading(burrs.last_pull)

    def shots(self, pairing_id: int) -> list[Shot]:
        """Like `entries`, the shots alone."""
        return [entry.shot for entry in self.entries(pairing_id)]

    # Advice.

    evidence = reading(advice.evidence)
    keep_advice = writing(advice.keep)
    advice_history = reading(advice.history)
    latest_advice = reading(advice.latest)
    replay = reading(advice.replay)

    # The person.

    def pregnant(self) -> bool:
        """Whether the person has set that they are pregnant."""
        with self._reading() as db:
            return recording.setting(db, _PREGNANT) is not None

    def set_pregnant(self, pregnant: bool) -> None:
        """Remembers it until it is taken back, which leaves no trace among the settings."""
        with self._writing() as db:
            recording.keep(db, _PREGNANT, "yes" if pregnant else None)

    # The file itself.

    def check(self) -> list[str]:
        """Reads the whole file and its journal and returns what is wrong, a sentence each; empty when all is well."""
        with error_translation.translated(self.path):
            return check.findings(self._db) or check.against_journal(self._db, self.path)

    def back_up(self) -> Path:
        """Makes a dated copy beside the logbook and returns where it is."""
        with error_translation.translated(self.path):
            return backup.dated_copy(self.path, self._now())
