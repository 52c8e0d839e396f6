from __future__ import annotations

import tempfile
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from dialopt.errors import BadValue, NotFound, Refused
from dialopt.logbook.book import Logbook
from dialopt.trade.shot import Shot
from tests.examples import examples
from tests.logbook.conftest import pairing_of, shot_of


def test_a_full_shot_reads_back_as_it_was_logged(book, number, a_shot):
    shot = a_shot(
        grind=17.25,
        yield_g=36.2,
        time_s=27,
        score=7.5,
        balance=-1,
        fault="channelled",
        tds_pct=9.1,
        pulled_at=datetime(2031, 4, 9, 7, 15, 3, 141592, tzinfo=timezone(timedelta(hours=5, minutes=45))),
        note='plum,\r\n"sharp"; 日本 \u202e \x1b[31m \'=1+1',
    )
    assert book.log(number, shot) == 1
    (kept,) = book.shots(number)
    assert kept == shot
    assert kept.pulled_at.utcoffset() == timedelta(hours=5, minutes=45)


def test_shots_count_within_their_pairing(book, number, a_pairing, a_shot):
    other = book.save_pairing(a_pairing(bean="low tide"))
    assert [book.log(where, a_shot()) for where in (number, other, number, other, number)] == [1, 1, 2, 2, 3]


def test_amend_counts_instead_and_history_keeps_both(book, number, a_shot):
    book.log(number, a_shot(score=3))
    book.log(number, a_shot(score=5))
    entry = book.amend(number, 1, a_shot(score=8))
    assert (entry.number, entry.revision) == (1, 2)
    assert [shot.score for shot in book.shots(number)] == [8, 5]
    assert book.entries(number)[0] == entry
    assert [
        (act.kind, [(one.number, one.revision, one.shot.score) for one in act.entries]) for act in book.history(number)
    ] == [
        ("log", [(1, 1, 3)]),
        ("log", [(2, 1, 5)]),
        ("amend", [(1, 2, 8)]),
    ]


def test_undo_takes_back_one_act_at_a_time(book, number, a_shot):
    book.log(number, a_shot(score=3))
    book.amend(number, 1, a_shot(score=8))
    book.import_shots(number, [a_shot(grind=1), a_shot(grind=2)], "week.csv")
    undone = book.undo(number)
    assert (undone.kind, undone.source, len(undone.entries)) == ("import", "week.csv", 2)
    assert undone.undone_at is not None
    assert [shot.score for shot in book.shots(number)] == [8]
    assert book.undo(number).kind == "amend"
    assert [shot.score for shot in book.shots(number)] == [3]
    assert book.undo(number).kind == "log"
    assert book.shots(number) == []
    assert book.pairing(number).shots == 0
    with pytest.raises(NotFound, match="nothing to undo"):
        book.undo(number)
    assert [act.undone_at is None for act in book.history(number)] == [False] * 3


def test_numbers_and_revisions_are_never_used_twice(book, number, a_shot):
    book.log(number, a_shot())
    book.log(number, a_shot(grind=9))
    book.undo(number)
    assert book.log(number, a_shot(grind=10)) == 3
    book.amend(number, 1, a_shot(score=2))
    book.undo(number)
    assert book.amend(number, 1, a_shot(score=4)).revision == 3
    assert [(entry.number, entry.revision) for entry in book.entries(number)] == [(1, 3), (3, 1)]


def test_amending_what_is_not_there(book, number, a_shot):
    with pytest.raises(NotFound, match="this pairing has none"):
        book.amend(number, 1, a_shot())
    book.log(number, a_shot())
    book.log(number, a_shot())
    book.undo(number)
    for missing in (0, 2, 10**30):
        with pytest.raises(NotFound, match="the latest are 1"):
            book.amend(number, missing, a_shot())


@pytest.mark.parametrize(
    "method", ["shots", "entries", "history", "undo", "evidence", "advice_history", "latest_advice"]
)
def test_an_unknown_pairing_has_no_shots_and_takes_none(method, book, a_shot):
    for call in (getattr(book, method), lambda it: book.log(it, a_shot()), lambda it: book.import_shots(it, [], "f")):
        with pytest.raises(NotFound, match="There is no pairing 5"):
            call(5)


def test_half_a_character_in_a_note_is_refused_whole(book, number, a_shot):
    with pytest.raises(BadValue, match="whole Unicode characters"):
        book.import_shots(number, [a_shot(), a_shot(note="\udcff")], "f.csv")
    assert book.history(number) == []


def test_a_clock_that_was_set_back_changes_no_order(home, clock, a_pairing, a_shot):
    moments = iter(datetime(2031, 4, day) for day in (9, 9, 8, 8, 7, 6, 5))
    with Logbook.open(home, now=lambda: next(moments)) as book:
        number = book.save_pairing(a_pairing())
        book.log(number, a_shot(score=1))
        book.log(number, a_shot(score=2))
        assert book.undo(number).entries[0].shot.score == 2


DAY = datetime(2031, 4, 9, 7)


def _dated(a_shot, count):
    return [a_shot(grind=grind, pulled_at=DAY + timedelta(minutes=grind)) for grind in range(count)]


def test_importing_dated_rows_again_is_refused(book, number, a_shot):
    rows = _dated(a_shot, 6)
    assert book.import_shots(number, rows[:4], "a.csv") == [1, 2, 3, 4]
    with pytest.raises(
        Refused, match=r"3 of the 5 rows of b\.csv are in the log already, as shots 2–4; nothing was imported"
    ):
        book.import_shots(number, rows[1:], "b.csv")
    assert book.shots(number) == rows[:4]
    with pytest.raises(Refused, match=r"^1 of the 1 row of b\.csv is in the log already, as shot 4; "):
        book.import_shots(number, rows[3:4], "b.csv")
    assert book.import_shots(number, rows[4:], "c.csv") == [5, 6]


def test_importing_undated_rows_again_is_refused(book, number, a_shot):
    rows = [a_shot(grind=grind, score=6) for grind in (18, 17, 18)]
    book.log(number, a_shot(grind=30))
    book.import_shots(number, rows, "a.csv")
    book.log(number, a_shot(grind=31))
    with pytest.raises(Refused, match=r"3 of the 3 rows .* as shots 2–4"):
        book.import_shots(number, rows, "renamed.csv")
    with pytest.raises(Refused, match=r"3 of the 4 rows .* as shots 2–4"):
        book.import_shots(number, [*rows, a_shot(grind=3)], "grown.csv")
    assert book.import_shots(number, [*rows[:2], a_shot(grind=2)], "another.csv") == [6, 7, 8]
    assert book.import_shots(number, [a_shot(grind=4), *rows], "new.csv") == [9, 10, 11, 12], "a new morning"


def test_a_row_is_known_by_any_of_its_revisions(book, number, a_shot):
    rows = _dated(a_shot, 3)
    book.import_shots(number, rows, "a.csv")
    book.amend(number, 2, a_shot(grind=2, score=9))
    with pytest.raises(Refused, match="3 of the 3 rows"):
        book.import_shots(number, rows, "a.csv")


def test_an_undone_import_can_be_imported_again(book, number, a_shot):
    for rows in (_dated(a_shot, 3), [a_shot(score=1), a_shot(score=2)]):
        book.import_shots(number, rows, "a.csv")
        book.undo(number)
        book.import_shots(number, rows, "a.csv")
        assert book.shots(number)[-len(rows) :] == rows


def test_the_same_rows_may_go_to_another_pairing(book, number, a_pairing, a_shot):
    other = book.save_pairing(a_pairing(bean="low tide"))
    for where in (number, other):
        assert book.import_shots(where, _dated(a_shot, 2), "a.csv") == [1, 2]


def test_an_import_without_rows_is_refused(book, number):
    with pytest.raises(Refused, match=r"f\.csv holds no shots"):
        book.import_shots(number, [], "f.csv")


def test_dated_rows_that_repeat_are_refused(book, number, a_shot):
    rows = _dated(a_shot, 3)
    with pytest.raises(Refused, match=r"1 of the 4 rows of a\.csv is there twice, with the same pulled_at"):
        book.import_shots(number, [*rows, rows[1]], "a.csv")
    assert book.history(number) == []
    # Two alike pulls that don't say when are nothing odd, nor are two different ones at the same minute.
    same_minute = a_shot(grind=30, pulled_at=rows[0].pulled_at)
    assert len(book.import_shots(number, [*rows, same_minute, a_shot(), a_shot()], "a.csv")) == 6


AHEAD = [
    datetime(2031, 4, 10, 7, 40),
    datetime(2031, 4, 12).astimezone(),
    datetime(2031, 4, 11, 12, tzinfo=timezone(timedelta(hours=14))),
    datetime.max.replace(tzinfo=timezone(timedelta(hours=-14))),
]


@pytest.mark.parametrize("ahead", AHEAD)
@pytest.mark.parametrize("zone", [None, UTC])
def test_a_shot_pulled_in_days_to_come_is_refused_and_nothing_written(home, a_pairing, a_shot, ahead, zone):
    with Logbook.open(home, now=lambda: datetime(2031, 4, 9, 7, 15, tzinfo=zone)) as book:
        number = book.save_pairing(a_pairing())
        book.log(number, a_shot(pulled_at=datetime(2031, 4, 10, 7, 15)))
        before = book.history(number)
        for write in (
            lambda shot: book.log(number, shot),
            lambda shot: book.amend(number, 1, shot),
            lambda shot: book.import_shots(number, [a_shot(), shot], "a.csv"),
        ):
            with pytest.raises(BadValue, match="it is 2031-04-09 07:15 now" if ahead.tzinfo is None else "now") as bad:
                write(a_shot(pulled_at=ahead))
            assert bad.value.field == "pulled_at"
        assert book.history(number) == before


class Undoing(RuleBasedStateMachine):
    """Any order of acts, against a list of what the log looked like before each."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.book = Logbook.open(Path(self.folder.name), now=lambda: DAY)
        # Speed only: these logbooks are thrown away.
        self.book._db.execute("PRAGMA synchronous = OFF")
        self.number = self.book.save_pairing(pairing_of())
        self.now: dict[int, Shot] = {}
        self.before: list[dict[int, Shot]] = []
        self.used = 0

    def teardown(self) -> None:
        self.book.close()
        self.folder.cleanup()

    @rule(grind=st.integers(0, 40))
    def log(self, grind: int) -> None:
        self.before.append(dict(self.now))
        self.used += 1
        assert self.book.log(self.number, shot_of(grind)) == self.used
        self.now[self.used] = shot_of(grind)

    @precondition(lambda self: self.now)
    @rule(data=st.data(), grind=st.integers(41, 90))
    def amend(self, data: st.DataObject, grind: int) -> None:
        which = data.draw(st.sampled_from(sorted(self.now)))
        if self.now[which] == shot_of(grind):
            return
        self.before.append(dict(self.now))
        self.book.amend(self.number, which, shot_of(grind))
        self.now[which] = shot_of(grind)

    @precondition(lambda self: self.before)
    @rule()
    def undo(self) -> None:
        self.book.undo(self.number)
        self.now = self.before.pop()

    @invariant()
    def the_log_is_as_remembered(self) -> None:
        assert {entry.number: entry.shot for entry in self.book.entries(self.number)} == self.now
        assert self.book.pairing(self.number).shots == len(self.now)


Undoing.TestCase.settings = examples(30, stateful_step_count=20)
TestUndoing = Undoing.TestCase
