"""Plausibility checks: asks about a shot that contradicts itself, with the commands that mend it or face to face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from dialopt.logbook.book import Logbook
from dialopt.logbook.records import PairingRecord, in_turn
from dialopt.logbook.typed import read_number
from dialopt.shell.context import Context
from dialopt.shell.options import called
from dialopt.shell.prompts import ask_value, yes
from dialopt.text import terminal as words
from dialopt.text.questions import question_sentence
from dialopt.trade.plausibility import Question, questions
from dialopt.trade.shot import Shot

VALUES = {"grind": "SETTING", "dose_g": "G", "temp_c": "°C", "yield_g": "G", "time_s": "S"} | {
    "score": "0-10",
    "balance": "-3..3",
    "pulled_at": "TIME",
    "fault": "none",
}
SLIPS = {field: f"{called(field)} {value}" for field, value in VALUES.items()}
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


def looked_at(book: Logbook, record: PairingRecord, numbers: Sequence[int]) -> list[tuple[int, Question]]:
    """The questions about these shots, each with its shot's number. Every shot is held against those before it."""
    entries = in_turn(book.entries(record.id))
    wanted = set(numbers)
    return [
        (entry.number, question)
        for place, entry in enumerate(entries)
        if entry.number in wanted
        for question in questions(
            record.pairing, entry.shot, [before.shot for before in entries[max(0, place - RECENT) : place]]
        )
    ]


def look_lines(asked: Sequence[tuple[int, Question]]) -> tuple[str, ...]:
    """Each question and the commands that would mend it, two lines."""
    return tuple(
        line
        for number, question in asked
        for line in (f"  Really?  {question_sentence(question)}", _mend(number, question))
    )


def listed_lines(asked: Sequence[tuple[int, Question]]) -> tuple[str, ...]:
    """The first questions about many shots, a line each."""
    lines = tuple(
        f"  Really?  shot {number}: {question_sentence(question)}" for number, question in asked[:MOST_LISTED]
    )
    more = len(asked) - len(lines)
    return (*lines, f"           and {more} more; `--json` lists them all") if more > 0 else lines


def look_data(asked: Sequence[tuple[int, Question]]) -> list[dict[str, Any]]:
    """The questions for a program, with the commands that would mend each."""
    return [
        {
            "shot": number,
            "about": question.about,
            "says": question_sentence(question),
            "slip": question.slip,
            "fault": question.fault,
            "finer": question.finer,
            "if_slip": _slips(number, question),
            "if_fault": question.fault and f"dialopt amend {number} --fault {question.fault}",
        }
        for number, question in asked
    ]


def _slips(number: int, question: Question) -> list[str]:
    """The commands that would mend a slip of the pen, any one of them, or all for what is no slip in one figure."""
    if question.about == "swapped":
        return [f"dialopt amend {number} {SWAPPED}"]
    if question.slip:
        return [f"dialopt amend {number} {SLIPS[field]}" for field in question.slip]
    turned = [f"dialopt grinder NAME --finer {question.finer}", "dialopt pairing --amend"]
    return turned if question.finer else ["dialopt undo"]


def ask_about(context: Context, book: Logbook, record: PairingRecord, number: int, shot: Shot) -> None:
    """Asks about a shot that is saved already, and amends it by the answers. Raises Stopped."""
    asked: set[str] = set()
    # Looked at anew after each answer: what was mended raises no further question.
    while left := [question for _, question in looked_at(book, record, [number]) if question.about not in asked]:
        question = left[0]
        asked.add(question.about)
        context.say(question_sentence(question))
        changed = _answered(context, shot, question)
        if changed != shot:
            shot = book.amend(record.id, number, changed).shot
            context.say(f"Amended shot {number}: {words.shot_words(shot)}.")


def _answered(context: Context, shot: Shot, question: Question) -> Shot:
    if question.about == "swapped" and shot.yield_g is not None and yes(context, "Have they?"):
        return replace(shot, recipe=replace(shot.recipe, dose_g=shot.yield_g), yield_g=shot.recipe.dose_g)
    if not question.slip or not set(question.slip) <= FIELD_WORDS.keys():
        return shot  # whoever typed a setting or a fault in was asked then, and the clock told the day
    if question.fault is not None and yes(context, FAULT_WORDS[question.fault][1]):
        return replace(shot, fault=question.fault)
    return _corrected(context, shot, question) if yes(context, "Was it a slip of the pen?") else shot


def _corrected(context: Context, shot: Shot, question: Question) -> Shot:
    for field in question.slip:

        def read(text: str, shot: Shot = shot, field: str = field) -> Shot:
            return replace(shot, **{field: read_number(field, text)})  # type: ignore[arg-type]  # a number field

        old = getattr(shot, field)
        shot = ask_value(context, f"The right {FIELD_WORDS[field]}; Enter to leave {old:g}:", read, shot)
    return shot


def _mend(number: int, question: Question) -> str:
    amend, options = f"`dialopt amend {number}", "` or `".join(SLIPS[field] for field in question.slip)
    if question.about == "again":
        mend = "If it is one shot logged twice: `dialopt undo` takes it back; if it was so, leave it."
    elif question.finer is not None:
        turn = f"`dialopt grinder NAME --finer {question.finer}`, then `dialopt pairing --amend`"
        mend = f"If they do: {turn}; if not, the puck or the time may mislead, and more shots will tell."
    elif question.about == "notes":
        each = f"{amend} {SLIPS['balance']}`, and so for each of them"
        mend = f"If they have: {each}; if not, leave it, and more shots will tell."
    elif question.about == "swapped":
        mend = f"If they have: {amend} {SWAPPED}`; if it was so, leave it."
    elif question.fault is None:
        mend = f"If it is a slip of the pen: {amend} {options}`; if it was so, leave it."
    else:
        fault = f"If {FAULT_WORDS[question.fault][0]}: {amend} --fault {question.fault}`"
        mend = f"{fault}; if it is a slip of the pen: {amend} {options}`; if it was so, leave it."
    return f"           {mend}"
