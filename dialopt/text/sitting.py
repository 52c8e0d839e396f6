"""The sitting: what is said in a conversation from shot to shot."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.engine.advice import Advice
from dialopt.logbook.records import Operation, PairingRecord
from dialopt.text.advice import ENJOY, advice_lines
from dialopt.text.formats import counted
from dialopt.text.log import operation_words
from dialopt.text.said import Said

SAFETY = (
    "Water, steam, group and wand are hot and under pressure: follow the maker's manual, and never loosen the "
    "portafilter while the pump runs."
)
UNDO = "undo"
GO_ON = "More test shots won't help much. Go on all the same?"
ENTER_ALONE = "  Enter alone says that it is pulled; the questions about it follow."
NOTHING_TO_UNDO = "There is nothing to take back."


def begin_lines(title: str) -> tuple[str, ...]:
    """What stands at the beginning."""
    return SAFETY, f"{title}. `stop` ends the sitting at any question."


def suggestion_lines(advice: Advice, change: Sequence[str]) -> tuple[str, ...]:
    """What to pull now. change: how to come there from the last shot."""
    enjoy = "More test shots won't help much. To drink, the sweet spot:"
    return "", enjoy if advice.settled else "Pull this now:", *advice_lines(advice, change)


def pull_question(*, may_undo: bool) -> str:
    """What is asked while a shot is pulled."""
    return f"Pull it, then press Enter{f' (`{UNDO}` takes back the last entry)' if may_undo else ''}:"


def not_of_this_sitting(operation: Operation) -> str:
    """Why an act isn't taken back here."""
    return f"The last act was {operation_words(operation)}, not of this sitting; `dialopt undo` would take it back."


def over_said(record: PairingRecord, logged: int, advice: Advice | None, past: Sequence[str]) -> Said:
    """How a sitting ends. past: a word on caffeine."""
    settled = advice is not None and advice.settled
    shots = counted(logged, "shot") if logged else "No shots"
    return Said(
        did=f"Sitting over. {shots} logged, {record.shots} with this pairing.",
        lines=tuple(past),
        next_step=ENJOY if settled else "`dialopt sitting` goes on from here.",
    )
