"""The plausibility checks over shots of the log: each is held against those before it."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.logbook.records import AdviceRecord, Entry, in_turn
from dialopt.trade.estimate import PredictedOutcome
from dialopt.trade.pairing import Pairing
from dialopt.trade.plausibility import Question, questions

RECENT = 50
"""Shots before that a shot is held against, so that a large import stays quick."""

Asked = Sequence[tuple[int, Question]]
"""Questions, each with its shot's number."""


def second_look(
    pairing: Pairing, entries: Sequence[Entry], numbers: Sequence[int], advised: AdviceRecord | None = None
) -> list[tuple[int, Question]]:
    """The questions about the shots of these numbers.

    entries: the pairing's live shots, in order of number. advised: the advice given last, whose own shot isn't asked
    about what it had predicted.
    """
    turns = in_turn(entries)

    def expected(place: int) -> PredictedOutcome | None:
        if advised is None or advised.rows_seen != tuple(before.row for before in turns[:place]):
            return None
        return advised.expected if pairing.noted(advised.next_recipe) == turns[place].shot.recipe else None

    return [
        (entry.number, question)
        for place, entry in enumerate(turns)
        if entry.number in numbers
        for question in questions(
            pairing, entry.shot, [before.shot for before in turns[max(0, place - RECENT) : place]], expected(place)
        )
    ]
