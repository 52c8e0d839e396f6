"""What every command has around it: where the logbook is, the clock, the terminal, and the engine that advises."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO, TypeVar, TypeVarTuple

from dialopt.errors import DialoptError, LogbookError, NotFound
from dialopt.logbook.book import Logbook
from dialopt.logbook.file import home_folder
from dialopt.logbook.records import Evidence
from dialopt.shell.render import clean, working
from dialopt.text.usage import WORKING_OUT

if TYPE_CHECKING:
    from dialopt.engine.advice import Advice

T = TypeVar("T")
Raised = TypeVar("Raised", bound=DialoptError)
E = TypeVar("E")
Arguments = TypeVarTuple("Arguments")
SEED = 0


def kitchen_clock() -> datetime:
    """Local time to the second, as the clock on the wall tells it."""
    return datetime.now().replace(microsecond=0)


def engine_advice(*asked: Any, **how: Any) -> Advice:
    """What `dialopt.advise` answers. With `wake_model`, the one place of the shell that imports the model."""
    _one_thread()
    with working(WORKING_OUT):
        from dialopt.engine.advise import advise

        return advise(*asked, **how)


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """The surroundings of one command. home: the folder named by --home, if any. advise: as `dialopt.advise`."""

    json: bool
    environ: Mapping[str, str]
    now: Callable[[], datetime] = kitchen_clock
    advise: Callable[..., Advice] = engine_advice
    home: Path | None = None

    def book(self) -> Logbook:
        """The logbook, opened."""
        return Logbook.open(home_folder(self.home, self.environ), now=self.now)

    def advised(
        self,
        book: Logbook,
        pairing_id: int,
        *,
        seed: int = SEED,
        shown: Sequence[str] = (),
        counts: str | None = None,
        most_moves: int | None = None,
        hold: Mapping[str, float] | None = None,
    ) -> tuple[Evidence, Advice]:
        """Advice on a pairing for today, kept in the logbook, and what it rests on. Raises NotFound, BadValue.

        shown: which of its recipes the person will see, of `SHOWN`; a shot logged next without settings may be one of
        them. counts, most_moves, hold: as `advise` takes them.
        """
        evidence = book.evidence(pairing_id)
        how = {"seed": seed, "today": self.now().date(), "counts": counts, "most_moves": most_moves}
        how["hold"] = hold
        advice = self.advise(evidence.pairing, evidence.shots, earlier=evidence.earlier, **how)
        book.keep_advice(evidence, advice, shown)
        return evidence, advice

    @property
    def talk(self) -> TextIO | None:
        """Where a conversation goes: standard output, which --json keeps for its one object. None when it is closed."""
        return sys.stderr if self.json else sys.stdout

    @property
    def on_terminal(self) -> bool:
        """Whether somebody is there to be asked."""
        return all(stream is not None and stream.isatty() for stream in (sys.stdin, self.talk))

    def say(self, *lines: str, end: str = "\n") -> None:
        """Lines of a conversation, on screen when this returns."""
        if self.talk is not None:
            self.talk.write("".join(clean(line) + end for line in lines))
            self.talk.flush()


def best_effort(otherwise: E, ask: Callable[[*Arguments], T], *arguments: *Arguments) -> T | E:
    """What the logbook is asked once something was saved, which must not be done again; `otherwise` where it fails."""
    try:
        return ask(*arguments)
    except LogbookError:
        return otherwise


def if_known(find: Callable[[*Arguments], T], *arguments: *Arguments) -> T | None:
    """What the logbook finds, None where there is no such thing."""
    try:
        return find(*arguments)
    except NotFound:
        return None


def noted(error: Raised, way_out: str) -> Raised:
    """The error with what to do about it."""
    error.add_note(way_out)
    return error


def wake_model(tastings: int) -> None:
    """Imports what advice after so many tastings takes, for a thread beside the person who pulls the shot."""
    _one_thread()
    import dialopt.engine.advise

    if tastings:
        import dialopt.model.gaussian_process  # noqa: F401


def _one_thread() -> None:
    """Keeps linear algebra to one thread, unless somebody said otherwise.

    The matrices are small here: more threads take twice the processor's time, and on a busy machine more of the
    clock's. numpy reads this when it is imported.
    """
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(variable, "1")
