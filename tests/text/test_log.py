"""What is said of shots logged, amended, taken back and listed."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from dialopt import Pairing, Recipe, Shot
from dialopt.logbook.defaults import Source
from dialopt.logbook.records import Entry, Operation, PairingRecord
from dialopt.text.log import (
    amended_said,
    operation_words,
    saved_said,
    shot_words,
    shots_said,
    source_words,
    undone_said,
)
from dialopt.trade.plausibility import Question

NOON = datetime(2031, 4, 9, 12)
SHOT = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), yield_g=36, time_s=27, score=6)


def entry(shot: Shot = SHOT, number: int = 1, revision: int = 1) -> Entry:
    return Entry(row=number, number=number, revision=revision, shot=shot, written_at=NOON)


def done(kind: str, *entries: Entry, undone_at: datetime | None = None) -> Operation:
    source = "in.csv" if kind == "import" else None
    return Operation(id=1, kind=kind, source=source, at=NOON, undone_at=undone_at, entries=entries or (entry(),))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({}, "36 g in 27 s, score 6"),
        ({"yield_g": None}, "in 27 s, score 6"),
        ({"yield_g": None, "time_s": None, "score": None}, "cup not weighed, not scored"),
        ({"balance": 0.5}, "36 g in 27 s, score 6, a little bitter (+0.5)"),
        ({"balance": -0.4}, "36 g in 27 s, score 6, balanced (−0.4)"),
        ({"tds_pct": 10}, "36 g in 27 s, score 6, 20.0 % extracted"),
        ({"preinfusion_s": 6, "fault": "spilt"}, "36 g in 27 s, score 6, 6 s preinfusion, spilt"),
    ],
)
def test_a_shot_in_one_line(change: dict[str, float], said: str) -> None:
    assert shot_words(replace(SHOT, **change)) == f"grind 18, 18 g, 93 °C → {said}"  # type: ignore[arg-type]


def test_a_saved_shot_is_told_with_where_its_settings_come_from_and_what_its_fault_leaves() -> None:
    taken = dict.fromkeys(("grind", "dose_g"), source_words(Source(kind="last_on_dials")))
    said = saved_said("harbour fog", 3, replace(SHOT, fault="channelled"), ["  Mind"], taken, ())
    assert said.did.startswith("Saved as shot 3 of harbour fog: grind 18, ")
    mind, settings, fault = said.lines
    assert mind == "  Mind"
    assert settings == "  Grind and dose as in the last shot that was on the dials."
    assert "the taste misleads" in fault
    assert saved_said("harbour fog", 3, SHOT, (), {}, ()).lines == ()
    odd, mend = saved_said("harbour fog", 3, SHOT, (), {}, [(3, Question(about="again", kind="again"))]).lines
    assert odd.startswith("  Really?  The same figures as the shot before")
    assert "`dialopt undo` takes it back" in mend
    assert source_words(Source(kind="sweet_spot", shown_at=NOON)).endswith(
        "as shown on 2031-04-09, before the latest shots"
    )


@pytest.mark.parametrize(
    ("change", "was", "now"),
    [
        ({"note": "thick"}, "note: thin", "note: thick"),
        ({"note": None}, "note: thin", "no note"),
        ({"pulled_at": datetime(2031, 4, 9, 7, 16)}, "not said when", "pulled at 2031-04-09 07:16:00"),
        ({"tds_pct": 9.1}, "no strength", "strength 9.1 %"),
    ],
)
def test_an_amendment_shows_what_changed(change: dict[str, object], was: str, now: str) -> None:
    before = replace(SHOT, note="thin")
    said = amended_said(entry(before), entry(replace(before, **change), revision=2), ())  # type: ignore[arg-type]
    assert said.did == "Amended shot 1."
    first, second = said.lines
    assert (first.startswith("  was  grind 18"), first.endswith(f", {was}")) == (True, True)
    assert (second.startswith("  now  grind 18"), second.endswith(f", {now}")) == (True, True)
    assert "nothing changed" in amended_said(entry(before), entry(before), ()).did


def test_what_was_taken_back_is_told_with_how_things_stand_now() -> None:
    assert undone_said(done("log"), None).did == "Took back shot 1."
    assert undone_said(done("import"), None).did == "Took back the import of 1 shot from in.csv."
    many = undone_said(done("import", *(entry(number=number) for number in range(1, 8))), None)
    assert (len(many.lines), many.lines[-1]) == (6, "    and 2 more")
    amendment = done("amend", entry(replace(SHOT, score=None), revision=2))
    stands = undone_said(amendment, entry())
    assert stands.did == "Took back the amendment of shot 1."
    assert stands.lines == (f"  was  {shot_words(replace(SHOT, score=None))}", f"  now  {shot_words(SHOT)}")
    assert undone_said(amendment, None).lines == stands.lines[:1], "the logbook can't be read just now"


def test_the_log_and_its_history(pairing: Pairing) -> None:
    record = PairingRecord(id=1, revision=1, pairing=pairing, shots=2, saved_at=NOON)
    entries = [entry(replace(SHOT, note="thin", pulled_at=NOON)), entry(number=2, revision=2)]
    said = shots_said(record, entries, None)
    assert said.did.startswith("2 shots of ")
    assert said.lines == (
        f"    1  {shot_words(SHOT)}  2031-04-09 12:00",
        "       thin",
        f"    2  {shot_words(SHOT)}  (amended)",
    )
    acts = [done("log"), done("amend", undone_at=NOON)]
    history = shots_said(record, entries, acts).lines
    assert history[0] == "  2031-04-09 12:00  shot 1"
    assert history[2] == f"  2031-04-09 12:00  {operation_words(acts[1])}, taken back 2031-04-09 12:00"
