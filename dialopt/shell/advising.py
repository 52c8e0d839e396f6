"""From the logbook to advice. The one place of the shell that wakes the model."""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from dialopt.logbook.book import Logbook
from dialopt.logbook.records import Evidence
from dialopt.shell.progress import working

if TYPE_CHECKING:
    from dialopt.engine.advice import Advice

SEED = 0


def advised(
    book: Logbook,
    pairing_id: int,
    *,
    today: date,
    seed: int = SEED,
    shown: Sequence[str] = (),
    counts: str | None = None,
    most_moves: int = 1,
) -> tuple[Evidence, Advice]:
    """Advice on a pairing for this day, kept in the logbook, and what it rests on. Raises NotFound, BadValue.

    shown: which of its recipes the person will see, of `SHOWN`; a shot logged next without settings may be one of them.
    counts, most_moves: as `advise` takes them.
    """
    evidence = book.evidence(pairing_id)
    _one_thread()
    with working("Working out what the shots tell"):
        from dialopt.engine.advise import advise

        advice = advise(
            evidence.pairing,
            evidence.shots,
            earlier=evidence.earlier,
            seed=seed,
            today=today,
            counts=counts,
            most_moves=most_moves,
        )
    book.keep_advice(evidence, advice, shown)
    return evidence, advice


def wake_model(tastings: int) -> None:
    """Imports what advice after so many tastings takes, for a thread beside the person who pulls the shot."""
    _one_thread()
    import dialopt.engine.advise
    from dialopt.model.posterior import FEWEST_TASTINGS

    if tastings >= FEWEST_TASTINGS:
        import dialopt.model.gaussian_process  # noqa: F401


def _one_thread() -> None:
    """Keeps linear algebra to one thread, unless somebody said otherwise.

    The matrices are small here: more threads take twice the processor's time, and on a busy machine more of the
    clock's. numpy reads this when it is imported.
    """
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(variable, "1")
