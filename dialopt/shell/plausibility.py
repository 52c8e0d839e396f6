"""Asks again about a shot that contradicts itself: a line with the commands that would mend it, or a conversation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import Any

from dialopt.logbook.book import Logbook
from dialopt.logbook.records import PairingRecord, in_turn
from dialopt.logbook.typed import read_number
from dialopt.shell import words
from dialopt.shell.asking import ask_value, yes
from dialopt.shell.desk import Desk
from dialopt.trade.plausibility import Question, questions
from dialopt.trade.shot import Shot

SLIPS = {
    "grind": "--grind SETTING",
    "dose_g": "--dose G",
    "temp_c": "--temp °C",
    "yield_g": "--yield G",
    "time_s": "--time S",
    "score": "--score 0-10",
    "balance": "--balance -3..3",
    "pulled_at": "--at TIME",
    "fault": "--fault none",
}
FIELD_WORDS = {"yield_g": "cup weight, g", "time_s": "time, s", "score": "score", "balance": "balance"}
FAULT_WORDS = {
    "channelled": ("the puck channelled", "Did the puck channel?"),
    "choked": ("it choked", "Did it choke?"),
    "misweighed": ("the scales were wrong", "Were the scales wrong?"),
}
SWAPPED = f"{SLIPS['dose_g']} {SLIPS['yield_g']}"
MOST_LISTED = 5
RECENT = 50
"""Shots before that a shot is held against, so that a large import stays quick."""


def looked_at(book: Logbook, kept: PairingRecord, numbers: Sequence[int]) -> list[tuple[int, Question]]:
    """The questions about these shots, each with its shot's number. Every shot is held against those before it."""
    entries = in_turn(book.entries(kept.id))
    wanted = set(numbers)
    return [
        (entry.number, question)
        for place, entry in enumerate(entries)
        if entry.number in wanted
        for question in questions(
            kept.pairing, entry.shot, [before.shot for before in entries[max(0, place - RECENT) : place]]
        )
    ]


def look_lines(asked: Sequence[tuple[int, Question]]) -> tuple[str, ...]:
    """Each question and the commands that would mend it, two lines."""
    return tuple(
        line for number, question in asked for line in (f"  Really?  {question.says}", _mend(number, question))
    )


def listed_lines(asked: Sequence[tuple[int, Question]]) -> tuple[str, ...]:
    """The first questions about many shots, a line each."""
    lines = tuple(f"  Really?  shot {number}: {question.says}" for number, question in asked[:MOST_LISTED])
    more = len(asked) - len(lines)
    return (*lines, f"           and {more} more; `--json` lists them all") if more > 0 else lines


def look_data(asked: Sequence[tuple[int, Question]]) -> list[dict[str, Any]]:
    """The questions for a program, with the commands that would mend each."""
    return [
        {
            "shot": number,
            **asdict(question),
            "if_slip": _slips(number, question),
            "if_fault": question.fault and f"dialopt amend {number} --fault {question.fault}",
        }
        for number, question in asked
    ]


def _slips(number: int, question: Question) -> list[str]:
    """The commands that would mend a slip of the pen, any one of them, or all for what is no slip in one figure."""
    if question.about == "swapped":
        return [f"dialopt amend {number} {SWAPPED}"]
    return [f"dialopt amend {number} {SLIPS[field]}" for field in question.slip] or _whole(question)


def _whole(question: Question) -> list[str]:
    """The commands that mend what is no slip in one figure of the shot."""
    return (
        [f"dialopt grinder NAME --finer {question.finer}", "dialopt pairing --amend"]
        if question.finer
        else ["dialopt undo"]
    )


def ask_about(desk: Desk, book: Logbook, kept: PairingRecord, number: int, shot: Shot) -> None:
    """Asks about a shot that is saved already, and amends it by the answers. Raises Stopped."""
    asked: set[str] = set()
    # Looked at anew after each answer: what was mended raises no further question.
    while left := [question for _, question in looked_at(book, kept, [number]) if question.about not in asked]:
        question = left[0]
        asked.add(question.about)
        desk.say(question.says)
        changed = _answered(desk, shot, question)
        if changed != shot:
            shot = book.amend(kept.id, number, changed).shot
            desk.say(f"Amended shot {number}: {words.shot_words(shot)}.")


def _answered(desk: Desk, shot: Shot, question: Question) -> Shot:
    if question.about == "swapped" and shot.yield_g is not None and yes(desk, "Have they?"):
        return replace(shot, recipe=replace(shot.recipe, dose_g=shot.yield_g), yield_g=shot.recipe.dose_g)
    if not question.slip or not set(question.slip) <= FIELD_WORDS.keys():
        return shot  # whoever typed a setting or a fault in was asked then, and the clock told the day
    if question.fault is not None and yes(desk, FAULT_WORDS[question.fault][1]):
        return replace(shot, fault=question.fault)
    return _corrected(desk, shot, question) if yes(desk, "Was it a slip of the pen?") else shot


def _corrected(desk: Desk, shot: Shot, question: Question) -> Shot:
    for field in question.slip:

        def read(text: str, shot: Shot = shot, field: str = field) -> Shot:
            return replace(shot, **{field: read_number(field, text)})  # type: ignore[arg-type]  # a number field

        old = getattr(shot, field)
        shot = ask_value(desk, f"The right {FIELD_WORDS[field]}; Enter to leave {old:g}:", read, shot)
    return shot


def _mend(number: int, question: Question) -> str:
    if question.about == "again":
        return "           If it is one shot logged twice: `dialopt undo` takes it back; if it was so, leave it."
    if question.finer is not None:
        mend = f"`dialopt grinder NAME --finer {question.finer}`, then `dialopt pairing --amend`"
        return f"           If they do: {mend}; if not, the puck or the time may mislead, and more shots will tell."
    if question.about == "notes":
        mend = f"`dialopt amend {number} {SLIPS['balance']}`, and so for each of them"
        return f"           If they have: {mend}; if not, leave it, and more shots will tell."
    if question.about == "swapped":
        return f"           If they have: `dialopt amend {number} {SWAPPED}`; if it was so, leave it."
    options = "` or `".join(SLIPS[field] for field in question.slip)
    slip = f"if it is a slip of the pen: `dialopt amend {number} {options}`; if it was so, leave it."
    fault = question.fault
    mend = slip if fault is None else f"if {FAULT_WORDS[fault][0]}: `dialopt amend {number} --fault {fault}`; {slip}"
    return f"           {mend[0].upper()}{mend[1:]}"
