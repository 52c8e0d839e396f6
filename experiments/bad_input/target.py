"""What a target is, what must hold of every refusal and of everything that reaches a screen, and how it is counted."""

from __future__ import annotations

import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from hypothesis import strategies as st

from dialopt.errors import BadValue, DialoptError, LogbookDamaged
from dialopt.logbook.csv_in import BadFile

MOST_TOLD = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """One way in. inputs: what is fed. feed: whether it was taken; raises AssertionError where what must hold doesn't.

    share: of a run's inputs, relative to the other targets'.
    """

    name: str
    says: str
    inputs: st.SearchStrategy[Any]
    feed: Callable[[Any], bool]
    share: float = 1.0


def target(
    name: str, inputs: st.SearchStrategy[Any], *, share: float = 1.0
) -> Callable[[Callable[[Any], bool]], Target]:
    """Makes a target of the function that feeds it; its docstring says what it is."""

    def made(feed: Callable[[Any], bool]) -> Target:
        return Target(name=name, says=feed.__doc__ or "", inputs=inputs, feed=feed, share=share)

    return made


@dataclass(slots=True, kw_only=True)
class Count:
    """What came of a target. tracebacks: inputs on which something was raised that is no refusal, or didn't hold."""

    name: str
    says: str
    inputs: int = 0
    accepted: int = 0
    refused: int = 0
    tracebacks: int = 0
    seconds: float = 0.0
    examples: list[str] = field(default_factory=list)

    def feed(self, feed: Callable[[Any], bool], given: Any) -> None:
        """Feeds one input and counts what came of it."""
        self.inputs += 1
        began = time.perf_counter()
        try:
            taken = feed(given)
        except Exception:
            self.tracebacks += 1
            if len(self.examples) < MOST_TOLD:
                self.examples.append(f"{repr(given)[:500]}: {traceback.format_exc(limit=-2).strip()[-500:]}")
        else:
            self.accepted += taken
            self.refused += not taken
        self.seconds += time.perf_counter() - began


def taken(call: Callable[[], object]) -> bool:
    """Whether the call goes through; a refusal must be in words, anything else that is raised comes out."""
    try:
        call()
    except DialoptError as refusal:
        check_refusal(refusal)
        return False
    return True


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
