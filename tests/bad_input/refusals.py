"""What must hold of every refusal and of everything that reaches a screen."""

from __future__ import annotations

from collections.abc import Callable

from hypothesis import currently_in_test_context, event

from dialopt.errors import BadValue, DialoptError, LogbookDamaged
from dialopt.logbook.spreadsheet import BadFile


def taken(call: Callable[[], object]) -> bool:
    """Whether the call goes through; a refusal must be in words, anything else that is raised comes out."""
    try:
        call()
    except DialoptError as refusal:
        check_refusal(refusal)
        noted("refused")
        return False
    noted("taken")
    return True


def noted(end: str) -> None:
    """Counts how an input ended, for `--hypothesis-show-statistics`."""
    if currently_in_test_context():
        event(end)


def check_refusal(refusal: DialoptError) -> None:
    """A refusal of input is a sentence that names what was wrong and, for one value, what would be accepted."""
    said = str(refusal)
    assert refusal.status in (2, 3, 4), refusal
    assert not isinstance(refusal, LogbookDamaged), refusal
    assert said.strip() == said != "", repr(said)
    assert said[-1] in ".!?", repr(said)
    if isinstance(refusal, BadFile):
        assert refusal.problems
        assert all("takes" in problem or "line" in problem for problem in refusal.problems), refusal.problems
        check_screen(said)
    if isinstance(refusal, BadValue):
        assert refusal.field, repr(said)
        assert refusal.accepted, repr(said)
        assert len(said) < 1_000, len(said)


def check_screen(text: str) -> None:
    """Nothing but what can be printed, blanks and line ends: nothing that steers a terminal or turns text round."""
    odd = {letter for letter in text if not (letter.isprintable() or letter == "\n")}
    assert not odd, odd
    assert "Traceback" not in text, text
