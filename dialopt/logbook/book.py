"""The logbook as the rest of dialopt sees it: one object, one file, small methods."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import TracebackType

from dialopt.errors import NotFound
from dialopt.logbook import backup, check, error_translation, file
from dialopt.logbook.kit_book import KitBook
from dialopt.logbook.records import (
    SHOWN,
    AdviceGiven,
    AdviceRecord,
    Entry,
    Evidence,
    LastPull,
    Operation,
    PairingRecord,
    Received,
)
from dialopt.logbook.store import advice as advices
from dialopt.logbook.store import burrs, kit, pairings, received, recording, shots
from dialopt.logbook.store.words import known_as
from dialopt.trade.kit import Grinder
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

_PREGNANT = "pregnant"
WAIT_S = 5.0
"""How long to wait for another process that is writing, s."""


class Logbook(KitBook):
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

    # Pairings.

    def save_pairing(self, pairing: Pairing) -> int:
        """The pairing's number; its kit and bean are kept along with it. Saving the same again changes nothing."""
        with self._writing() as db:
            return pairings.save(db, pairing, self._now())

    def amend_pairing(self, pairing_id: int, pairing: Pairing) -> None:
        """Sets a pairing up anew, its shots kept: for a mistyped dial or a roasting date that was found later.

        What advice saw earlier can still be replayed. Raises NotFound; Refused when another pairing is just that.
        """
        with self._writing() as db:
            pairings.amend(db, pairing_id, pairing, self._now())

    def pairings(self, at_most: int = -1, *, pulled_since: datetime | None = None) -> list[PairingRecord]:
        """The pairings, the one used last first, or `at_most` of them.

        pulled_since: only those with a shot that says it was pulled at or after this local time, time zones passed
        over: ask a day early where they may differ.
        """
        with self._reading() as db:
            return pairings.listed(db, at_most, pulled_since)

    def pairing(self, key: int | str) -> PairingRecord:
        """The pairing with that number, bean name or title ("bean on grinder"), whatever the case.

        Raises NotFound; WrongUse when several go by that name, listing their numbers.
        """
        with self._reading() as db:
            return pairings.found(db, key)

    def current(self) -> PairingRecord:
        """The pairing in use. Raises NotFound when none was chosen yet."""
        with self._reading() as db:
            return pairings.current(db)

    def current_lost(self) -> bool:
        """Whether which pairing is in use is lost; choosing one mends it."""
        with self._reading() as db:
            return pairings.current_lost(db)

    def make_current(self, pairing_id: int) -> None:
        """Remembers which pairing is in use. Raises NotFound."""
        with self._writing() as db:
            pairings.make_current(db, pairing_id)

    def change_burrs(self, grinder: Grinder) -> PairingRecord | None:
        """Keeps a known grinder with other burrs in it, and opens a pairing of the bag in use with them, all in one.

        That pairing is in use from then on; a pairing that was just that before, as when burrs are put back, is taken
        up again. None when the pairing in use is on another grinder, or none is in use.
        """
        with self._writing() as db:
            kit.save(db, kit.GRINDERS, grinder, self._now())
            try:
                before = pairings.current(db).pairing
            except NotFound:
                return None
            if known_as(before.grinder.name) != known_as(grinder.name):
                return None
            opened = pairings.save(db, replace(before, grinder=grinder), self._now())
            pairings.make_current(db, opened)
            return pairings.by_number(db, opened)

    # Shots.

    def log(self, pairing_id: int, shot: Shot) -> int:
        """Logs a shot and returns its number within the pairing.

        Raises NotFound; BadValue for half a character in the note and for a shot pulled more than a day after now.
        """
        with self._writing() as db:
            return shots.log(db, pairing_id, [shot], "log", None, self._now())[0]

    def import_shots(self, pairing_id: int, rows: Sequence[Shot], source: str) -> list[int]:
        """Logs many shots as one operation and returns their numbers. source: the file's name.

        Raises NotFound; Refused for no rows, for dated rows that repeat one another and for rows that are in the log
        already; BadValue.
        """
        with self._writing() as db:
            shots.refuse_known(db, pairing_id, rows, source)
            return shots.log(db, pairing_id, rows, "import", source, self._now())

    def receive(self, pairing: Pairing, rows: Sequence[Shot], source: str) -> Received:
        """Keeps a pairing that somebody else scored, with those of its shots that are new. source: the file's name.

        One that was sent before is brought up to date. Raises Refused where no shot is new or amended; BadValue.
        """
        with self._writing() as db:
            return received.take_in(db, pairing, rows, source, self._now())

    def amend(self, pairing_id: int, number: int, shot: Shot) -> Entry:
        """Writes a new revision of a shot, which now counts in its place. Raises NotFound, BadValue."""
        with self._writing() as db:
            return shots.amend(db, pairing_id, number, shot, self._now())

    def undo(self, pairing_id: int, operation_id: int | None = None) -> Operation:
        """Takes back the latest operation that stands: a logged shot, an amendment, a whole import. Returns it.

        operation_id: the operation that is meant. Nothing is deleted; `history` still shows it.
        Raises NotFound when there is nothing left to undo, Refused when the latest operation isn't the one meant.
        """
        with self._writing() as db:
            return shots.undo(db, pairing_id, self._now(), operation_id)

    def take_back(self, pairing_id: int, number: int) -> list[Operation]:
        """Takes back one shot with its amendments, whatever was done since. Returns the operations, the latest first.

        Raises NotFound without such a shot, Refused for one that came with others in an import.
        """
        with self._writing() as db:
            return shots.take_back(db, pairing_id, number, self._now())

    def entries(self, pairing_id: int) -> list[Entry]:
        """The live shots in their latest revision, in order of number. Raises NotFound."""
        with self._reading() as db:
            return shots.live(db, pairing_id)

    def entry(self, pairing_id: int, number: int) -> Entry:
        """The live shot of that number. Raises NotFound naming the latest that there are."""
        with self._reading() as db:
            return shots.live_one(db, pairing_id, number)

    def shots(self, pairing_id: int) -> list[Shot]:
        """Like `entries`, the shots alone."""
        return [entry.shot for entry in self.entries(pairing_id)]

    def last_pull(self, pairing_id: int) -> LastPull | None:
        """The shot that went last through the burrs of a pairing, its own or another's; None without any.

        It is where the grind dial stands. Raises NotFound.
        """
        with self._reading() as db:
            return burrs.last_pull(db, pairing_id)

    def history(self, pairing_id: int) -> list[Operation]:
        """Everything that was done to the shots of a pairing, undone or not, the first of it first. Raises NotFound."""
        with self._reading() as db:
            return shots.history(db, pairing_id)

    # Advice.

    def evidence(self, pairing_id: int) -> Evidence:
        """What advice on this pairing rests on: its live shots, and other pairings that have some.

        Of these come first the few that are read, half of them of the same bean where there are such: the same grinder
        and burrs first, then the same bean, then the same grinder with other burrs, then the same machine, and within
        these the one used last first. After them come all others of the same bag, whose coffee counts. Raises NotFound.
        """
        with self._reading() as db:
            return advices.evidence(db, pairing_id)

    def keep_advice(self, evidence: Evidence, advice: AdviceGiven, shown: Sequence[str] = SHOWN) -> int:
        """Keeps a piece of advice, what it rested on and what of it was shown; returns its number in the logbook."""
        with self._writing() as db:
            return advices.keep(db, evidence, advice, self._now(), shown)

    def advice_history(self, pairing_id: int) -> list[AdviceRecord]:
        """Every piece of advice on a pairing, in the order given. Raises NotFound."""
        with self._reading() as db:
            return advices.history(db, pairing_id)

    def latest_advice(self, pairing_id: int, shown: str = "next") -> AdviceRecord | None:
        """The last advice on a pairing of which that recipe, of `SHOWN`, was shown; None without. Raises NotFound."""
        with self._reading() as db:
            return advices.latest(db, pairing_id, shown)

    def replay(self, advice_id: int) -> Evidence:
        """Exactly the pairing, shots and earlier pairings that a piece of advice rested on. Raises NotFound.

        Together with the seed and the day of the kept advice, and the same version of dialopt, `advise` gives that
        advice again.
        """
        with self._reading() as db:
            return advices.replay(db, advice_id)

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
