"""Shots that aren't read, as they lie far off the dials: what was asked about them when they were logged stays open."""

from __future__ import annotations

from dialopt.logbook.records import Case
from dialopt.shell.words import recipe_words


def unread(case: Case) -> list[int]:
    """Their numbers."""
    return [entry.number for entry in case.entries if not case.pairing.may_be_meant(entry.shot.recipe)]


def unread_lines(case: Case) -> tuple[str, ...]:
    """One for each, with what corrects it."""
    recipes = {entry.number: entry.shot.recipe for entry in case.entries}
    return tuple(
        f"  Unread   shot {number}, {recipe_words(recipes[number])}, lies far off the dials; `dialopt amend {number}` "
        "corrects a slip of the pen"
        for number in unread(case)
    )
