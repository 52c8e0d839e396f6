"""What is said of files in and out, of copies, and of what somebody else sent."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from dialopt import Pairing
from dialopt.logbook.records import Received
from dialopt.logbook.restore import Held, Restored, State
from dialopt.text.files import copies_said, held_words, imported_said, not_whole, received_said, restored_said
from dialopt.trade.freshness import Freshness
from dialopt.trade.plausibility import Question

BOOK = Path("logbook.db")
WHOLE = Held(path=BOOK, pairings=1, shots=2, last_at=datetime(2031, 4, 9, 12))
ODD = Question(about="score", kind="score", values={"score": 10, "balance": 3})


@pytest.mark.parametrize(
    ("numbers", "odd", "said"),
    [
        ([3], [], "Imported 1 shot from in.csv into harbour fog, as shot 3."),
        ([3], [3], "Imported 1 shot from in.csv into harbour fog, as shot 3."),
        ([3, 4], [], "Imported 2 shots from in.csv into harbour fog, as shots 3 to 4."),
        ([3, 4, 5], [4], "as shots 3 to 5. 1 of them wants a second look."),
        ([3, 4, 5], [4, 4, 5], "as shots 3 to 5. 2 of them want a second look."),
    ],
)
def test_an_import_counts_its_shots_and_what_looks_odd(numbers: list[int], odd: list[int], said: str) -> None:
    told = imported_said("harbour fog", "in.csv", numbers, [(number, ODD) for number in odd])
    assert told.did.endswith(said)
    assert ("dialopt amend" in told.next_step) == bool(odd)


def test_of_many_oddities_the_first_are_listed() -> None:
    listed = imported_said("harbour fog", "in.csv", range(1, 9), [(number, ODD) for number in range(1, 9)]).lines
    assert listed[0] == "  Really?  shot 1: Score 10 and very bitter seldom go together."
    assert (len(listed), listed[-1]) == (6, "           and 3 more; `--json` lists them all")


def test_of_many_findings_the_first_are_said() -> None:
    assert not_whole(BOOK, ["One."]) == "The logbook logbook.db isn't whole. One."
    assert not_whole(BOOK, ["One."] * 6).endswith("One. And 1 more finding.")
    assert not_whole(BOOK, ["One."] * 7).endswith("One. And 2 more findings.")


def test_what_a_copy_holds() -> None:
    assert held_words(WHOLE) == "2 shots of 1 pairing, until 2031-04-09 12:00"
    assert held_words(Held(path=BOOK, shots=1, missing=2)) == "1 shot of 0 pairings; 2 lines can't be read"
    assert held_words(Held(path=BOOK, problem="It is empty")) == "It is empty"


USELESS = Held(path=Path("copy.db"), problem="It is empty")


@pytest.mark.parametrize(
    ("sound", "there", "journal", "copies", "step"),
    [
        (True, True, WHOLE, [WHOLE], "`dialopt restore NAME --replace`"),
        (True, True, WHOLE, [USELESS], "`dialopt backup`"),
        (False, True, WHOLE, [WHOLE], "`dialopt restore journal`"),
        (False, True, USELESS, [USELESS, WHOLE], "`dialopt restore latest`"),
        (False, True, None, [USELESS], "Move the file away"),
        (False, False, None, [], "`dialopt grinder"),
    ],
)
def test_what_to_go_back_to(sound: bool, there: bool, journal: Held | None, copies: list[Held], step: str) -> None:
    state = State(there=there, sound=sound, why=None if sound else "It is damaged.")
    said = copies_said(state, WHOLE if sound else None, journal, copies)
    assert said.did == (f"The logbook logbook.db is whole: {held_words(WHOLE)}." if sound else "It is damaged.")
    assert len(said.lines) == max(1, (journal is not None) + len(copies))
    assert said.next_step.startswith(step)


def test_what_was_lost_is_said() -> None:
    end = Restored(
        source=Path("logbook.jsonl"), logbook=Held(path=BOOK, shots=1, missing=1), unfit=2, aside=Path("old.db")
    )
    assert restored_said(end).lines == (
        "  Lost     1 line of the journal can't be read",
        "  Lost     2 rows that rest on what can't be read",
        "  Aside    what stood there before is kept as old.db",
    )


@pytest.mark.parametrize(
    ("new", "amended", "said"),
    [(5, 0, "5 shots"), (0, 2, "2 amended shots"), (1, 1, "1 shot and 1 amended one"), (0, 0, "0 shots")],
)
def test_what_was_taken_in(pairing: Pairing, new: int, amended: int, said: str) -> None:
    received = Received(pairing_id=3, new=new, amended=amended, elsewhere=())
    told = received_said(pairing, received, None, None, (), "next.", beside_own=True)
    assert told.did.startswith(f"Took in {said} of {pairing.title}, scored by ")
    assert told.did.endswith("as pairing 3; yours stays in use.")
    assert told.lines == ()


def test_what_was_left_out_or_is_gone_and_how_old_their_beans_were(pairing: Pairing) -> None:
    received = Received(pairing_id=3, new=1, amended=0, elsewhere=(2, 1, 2), gone=(6,))
    fresh = Freshness(days=8, stage="ready"), Freshness(days=9, stage="ready")
    left_out, gone, keep, beans = received_said(pairing, received, None, fresh, (), "", beside_own=False).lines
    assert left_out == "  Left out 3 shots that pairings 1 and 2 hold: twice they would count twice"
    assert gone.startswith("  Mind     shot 6 came from them before and is not in what they sent now; if they took it")
    assert keep.endswith("`dialopt use 3`, then `dialopt amend 6 --fault other` keeps it from counting")
    assert beans == "  Beans    pulled 8 to 9 days off roast"
    one = received_said(pairing, replace(received, elsewhere=(1,)), None, None, (), "", beside_own=False).lines[0]
    assert one == "  Left out 1 shot that pairing 1 holds: twice they would count twice"
    same = received_said(pairing, received, None, (fresh[0], fresh[0]), (), "", beside_own=False).lines[-1]
    assert same == "  Beans    pulled 8 days off roast"
