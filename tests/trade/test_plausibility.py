from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt import FAULTS, Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot
from dialopt.trade.estimate import Estimate, PredictedOutcome
from dialopt.trade.plausibility import HABIT, questions
from dialopt.trade.shot import CLOCK_STANDS

PAIRING = Pairing(
    bean=Bean(name="washed sample"),
    grinder=Grinder(name="bench grinder", grind=Dial(0, 40, 1), finer="down"),
    machine=Machine(name="bench machine", temp_c=Dial(88, 96, 1)),
    basket=Basket(dose_g=Dial(16.5, 20, 0.1)),
)


def pulled(grind: float = 18, dose_g: float = 18, **rest: object) -> Shot:
    return Shot(recipe=Recipe(grind=grind, dose_g=dose_g, temp_c=93), **rest)  # type: ignore[arg-type]


def about(shot: Shot, *earlier: Shot, pairing: Pairing = PAIRING) -> list[str]:
    return [question.about for question in questions(pairing, shot, earlier)]


def test_a_plain_morning_raises_no_question(shots: list[Shot]) -> None:
    for place, shot in enumerate(shots):
        assert about(shot, *shots[:place]) == []


def test_what_was_not_noted_raises_none() -> None:
    assert about(pulled()) == []
    assert about(pulled(score=10)) == []
    assert about(pulled(balance=3)) == []


@pytest.mark.parametrize(
    ("time_s", "balance", "odd"),
    [(15, 2, True), (15, 1, True), (15, 0, False), (15, -2, False), (28, 3, False), (48, -2, True), (48, 2, False)],
)
def test_fast_but_bitter_and_slow_but_sour(time_s: float, balance: float, odd: bool) -> None:
    asked = questions(PAIRING, pulled(time_s=time_s, balance=balance), ())
    assert [question.about for question in asked] == ["balance"] * odd
    assert all(question.fault == "channelled" for question in asked)


@pytest.mark.parametrize(("yield_g", "odd"), [(36, False), (30, False), (44, False), (63, True), (20, True)])
def test_a_cup_far_from_its_target(yield_g: float, odd: bool) -> None:
    assert about(pulled(yield_g=yield_g)) == ["yield"] * odd
    wide = replace(PAIRING, ratio=3.5)
    assert about(pulled(yield_g=63), pairing=wide) == []


@pytest.mark.parametrize(
    ("score", "balance", "odd"), [(10, 2, True), (10, -3, True), (10, 1, False), (0, 0, True), (0, -2, False)]
)
def test_a_score_that_the_balance_belies(score: float, balance: float, odd: bool) -> None:
    assert about(pulled(score=score, balance=balance)) == ["score"] * odd


@pytest.mark.parametrize(("score", "fault"), [(7.5, None), (4, None), (3, "channelled"), (0, "channelled")])
def test_a_score_unlike_those_of_the_same_recipe_before(score: float, fault: str | None) -> None:
    before = [pulled(score=7), pulled(score=7.5), pulled(grind=12, score=score)]
    asked = questions(PAIRING, pulled(score=score), before)
    assert [(question.about, question.fault) for question in asked] == ([("repeat", fault)] if fault else [])
    assert about(pulled(score=score), before[2]) == []
    (better,) = questions(PAIRING, pulled(score=9.5), [pulled(score=3)])
    assert (better.fault, better.values["usual"]) == (None, 3)


def test_a_shot_that_may_be_logged_twice() -> None:
    at = datetime(2031, 4, 9, 8, tzinfo=UTC)
    first = pulled(time_s=27, score=7, pulled_at=at)
    assert about(replace(first, pulled_at=at + timedelta(seconds=20), note="plum"), first) == ["again"]
    assert about(replace(first, pulled_at=at + timedelta(minutes=3)), first) == []
    assert about(replace(first, pulled_at=at + timedelta(seconds=20), score=7.5), first) == []
    assert about(replace(first, pulled_at=None), first) == []


def test_a_day_before_the_roast() -> None:
    roasted = replace(PAIRING, bean=replace(PAIRING.bean, roasted_on=date(2031, 4, 1)))
    early = pulled(pulled_at=datetime(2030, 4, 9, 8))
    assert about(early, pairing=roasted) == ["day"]
    assert about(early) == about(pulled(pulled_at=datetime(2031, 4, 1, 8)), pairing=roasted) == []


def test_a_channelled_puck_that_ran_far_too_long() -> None:
    usual = pulled(grind=20, time_s=24)
    (question,) = questions(PAIRING, pulled(grind=19, time_s=300, fault="channelled"), [usual])
    assert (question.slip, question.fault) == (("time_s",), "choked")
    assert question.kind == "channelled_yet_slow"
    assert question.values["likely_s"] == pytest.approx(25, abs=0.5)
    assert about(pulled(time_s=300, fault="channelled")) == ["time"]
    assert about(pulled(grind=19, time_s=12, fault="channelled"), usual) == []
    assert about(pulled(grind=19, time_s=30, fault="channelled"), usual) == []


def test_a_choke_whereany_shots_ran_fast() -> None:
    fast, slow = pulled(grind=18, time_s=22), pulled(grind=18, time_s=45)
    assert about(pulled(grind=19, fault="choked"), fast, fast) == ["time"]
    assert about(pulled(grind=18, fault="choked"), slow, slow) == []
    assert about(pulled(grind=5, fault="choked"), fast, fast) == []
    assert about(pulled(grind=19, fault="choked")) == []


def test_a_setting_off_its_dial() -> None:
    (question,) = questions(PAIRING, pulled(grind=180), ())
    assert question.slip == ("grind",)
    assert question.values == {"setting": 180, "dial": Dial(0, 40, 1)}
    assert about(pulled(dose_g=25)) == ["dose_g"]
    for dose_g in (16.5, 18.1, 20.0, 16.5 - 1e-9):
        assert about(pulled(dose_g=dose_g)) == [], "what the basket takes needs no word"


def test_a_question_is_the_same_while_what_it_goes_by_is() -> None:
    asked = questions(PAIRING, pulled(dose_g=15), ())
    assert questions(PAIRING, pulled(dose_g=15, score=7), ()) == asked
    assert questions(PAIRING, pulled(dose_g=15.5), ()) != asked


def test_a_first_time_is_odd_only_by_a_digit() -> None:
    assert about(pulled(time_s=280)) == ["time"]
    assert about(pulled(time_s=2.8)) == ["time"]
    for time_s in (8, 28, 90):
        assert about(pulled(time_s=time_s)) == []


def test_a_time_is_held_against_the_earlier_ones_at_similar_grind() -> None:
    earlier = [pulled(grind=24, time_s=17), pulled(grind=19, time_s=24), pulled(grind=14, time_s=36)]
    assert about(pulled(grind=17, time_s=29), *earlier) == []
    (slow,) = questions(PAIRING, pulled(grind=17, time_s=92), earlier)
    assert (slow.about, slow.fault) == ("time", "choked")
    assert slow.values["likely_s"] == pytest.approx(27, abs=0.5)
    (fast,) = questions(PAIRING, pulled(grind=17, time_s=14), earlier)
    assert fast.fault == "channelled"


def test_far_from_any_grind_pulled_there_is_more_room() -> None:
    earlier = [pulled(grind=20, time_s=25)]
    assert about(pulled(grind=20, time_s=60), *earlier) == ["time"]
    assert about(pulled(grind=10, time_s=60), *earlier) == []


def test_one_stray_time_among_the_earlier_ones_does_not_turn_the_question_round() -> None:
    stray = pulled(time_s=92)
    assert about(pulled(time_s=29), pulled(time_s=28), stray) == []
    assert about(pulled(time_s=29), stray, pulled(time_s=27), pulled(time_s=28)) == []
    assert about(pulled(time_s=92), pulled(time_s=27), pulled(time_s=28), pulled(time_s=29)) == ["time"]


def test_either_way_the_numbers_run() -> None:
    up = replace(PAIRING, grinder=replace(PAIRING.grinder, finer="up"))
    earlier = [pulled(grind=16, time_s=17), pulled(grind=21, time_s=24), pulled(grind=26, time_s=36)]
    assert about(pulled(grind=30, time_s=45), *earlier, pairing=up) == []
    assert about(pulled(grind=30, time_s=17), *earlier, pairing=up) == ["time"]


def test_a_dial_of_one_setting() -> None:
    fixed = replace(PAIRING, grinder=replace(PAIRING.grinder, grind=Dial(18, 18)))
    assert about(pulled(time_s=29), pulled(time_s=28), pairing=fixed) == []
    assert about(pulled(time_s=92), pulled(time_s=28), pairing=fixed) == ["time"]


def test_a_marked_fault_answers_what_it_explains() -> None:
    odd = pulled(time_s=280, balance=-3, yield_g=9, score=10)
    assert len(about(odd)) == 4
    for fault in FAULTS:
        assert about(replace(odd, fault=fault)) == (["time"] if fault in {*CLOCK_STANDS, "channelled"} else [])


def test_nobody_is_asked_on_and_on_about_a_habit() -> None:
    long_cup = pulled(yield_g=60)
    for count in range(HABIT + 2):
        assert about(long_cup, *[long_cup] * count) == ["yield"] * (count < HABIT)
    between = [long_cup] * HABIT + [pulled(yield_g=36)]
    assert about(long_cup, *between) == ["yield"]


any_shots = st.builds(
    pulled,
    grind=st.floats(-50, 90),
    dose_g=st.floats(1, 60),
    yield_g=st.none() | st.floats(0.1, 500),
    time_s=st.none() | st.floats(1, 600),
    score=st.none() | st.floats(0, 10),
    balance=st.none() | st.floats(-3, 3),
    fault=st.none() | st.sampled_from(sorted(FAULTS)),
)


@given(any_shots, st.lists(any_shots, max_size=8))
def test_any_shot_at_all_gets_an_answer(shot: Shot, earlier: list[Shot]) -> None:
    asked = questions(PAIRING, shot, earlier)
    assert len({question.about for question in asked}) == len(asked)
    for question in asked:
        assert question.fault is None or question.fault in FAULTS
        assert question.slip or question.about == "again"


@given(any_shots, any_shots, st.floats(1.01, 1.4))
def test_what_is_farther_out_is_no_less_odd(shot: Shot, before: Shot, more: float) -> None:
    odd = next((question for question in questions(PAIRING, shot, [before]) if question.about == "time"), None)
    if odd is not None and shot.time_s is not None:
        farther = shot.time_s / more if odd.fault == "channelled" else shot.time_s * more
        if 1 <= farther <= 600:
            assert "time" in about(replace(shot, time_s=farther), before)


def test_a_dial_that_seems_to_run_the_other_way_is_asked_about_once() -> None:
    log = [pulled(grind, time_s=time_s) for grind, time_s in ((20, 20), (17, 17), (14, 13), (10, 10))]
    asked = [[question.about for question in questions(PAIRING, log[place], log[:place])] for place in range(4)]
    assert ["finer" in about for about in asked] == [False, False, True, True]
    question = next(one for one in questions(PAIRING, log[2], log[:2]) if one.about == "finer")
    assert question.finer == "up"
    assert question.values["grinds"] == 3
    up = replace(PAIRING, grinder=replace(PAIRING.grinder, finer="up"))
    assert "finer" not in about(log[2], *log[:2], pairing=up)
    assert "finer" not in about(pulled(14, time_s=14), *log[:3]), "that grind was asked about"


@pytest.mark.parametrize(
    "log",
    [
        ((20, 20), (14, 13)),
        ((20, 20), (17, 25), (14, 13)),
        ((20, 28), (19, 27), (18, 26)),
        ((20, 28), (17, 27), (14, 26)),
    ],
    ids=["two grinds", "up and down", "close together", "hardly faster"],
)
def test_a_dial_is_not_doubted_lightly(log: tuple[tuple[float, float], ...]) -> None:
    told = [pulled(grind, time_s=time_s) for grind, time_s in log]
    assert "finer" not in about(told[-1], *told[:-1])


def _noted(*rows: tuple[float, float]) -> list[Shot]:
    return [pulled(20, time_s=time_s, balance=balance) for time_s, balance in rows]


def test_notes_that_run_against_the_clock_are_asked_about_once() -> None:
    log = _noted((20, 2), (26, 1), (34, -1), (42, -2), (28, 0))
    asked = ["notes" in about(log[place], *log[:place]) for place in range(5)]
    assert asked == [False, False, False, True, False], "five pairs with the fourth shot; then it was asked"
    question = next(one for one in questions(PAIRING, log[3], log[:3]) if one.about == "notes")
    assert question.slip == ("balance",)
    assert question.values == {"against": 5, "pairs": 5}
    spoiled = [*log[:3], replace(log[3], fault="channelled")]
    assert "notes" not in about(spoiled[-1], *spoiled[:-1])


@pytest.mark.parametrize(
    "rows",
    [
        ((20, -2), (26, -1), (34, 1), (42, 2)),
        ((20, 2), (26, 1), (34, -1)),
        ((20, 2), (22, 1), (24, -1), (26, -2)),
        ((20, 2), (26, 2), (34, 2), (42, -2)),
        ((20, 2), (26, -2), (34, 1), (42, -2), (30, 2)),
    ],
    ids=["as usual", "three shots", "times alike", "notes alike", "up and down"],
)
def test_notes_are_not_doubted_lightly(rows: tuple[tuple[float, float], ...]) -> None:
    log = _noted(*rows)
    assert "notes" not in about(log[-1], *log[:-1])


@pytest.mark.parametrize(
    ("dose_g", "yield_g", "asked"),
    [
        (36, 18, ["swapped"]),
        (44, 18, ["swapped"]),
        (46, 18, ["dose_g", "yield"]),
        (36, 10, ["dose_g", "yield"]),
        (20.5, 10, ["dose_g", "yield"]),
        (36, 72, ["dose_g"]),
        (18, 17, ["yield"]),
    ],
)
def test_dose_and_cup_that_fit_only_the_other_way_round(dose_g: float, yield_g: float, asked: list[str]) -> None:
    assert about(pulled(dose_g=dose_g, yield_g=yield_g, time_s=28)) == asked
    short = replace(PAIRING, ratio=1.0)
    assert about(pulled(dose_g=19, yield_g=18, time_s=14), pairing=short) == [], "it fits both ways round"


@pytest.mark.parametrize(("yield_g", "fault"), [(None, "choked"), (17, "choked"), (18, None), (36, None)])
def test_a_cup_that_filled_did_not_choke(yield_g: float | None, fault: str | None) -> None:
    before = [pulled(time_s=28, yield_g=36)] * 3
    found = {
        question.about: question.fault for question in questions(PAIRING, pulled(time_s=92, yield_g=yield_g), before)
    }
    assert found["time"] == fault


def test_what_was_predicted_is_not_asked_about() -> None:
    before = [pulled(grind=18, time_s=13), pulled(grind=18, time_s=14)]
    odd = pulled(grind=18, time_s=29)
    assert "time" in about(odd, *before)
    narrow = Estimate(mean=26, low=22, high=31)
    expected = PredictedOutcome(score=Estimate(mean=6, low=4, high=8), time_s=narrow)
    assert "time" not in [question.about for question in questions(PAIRING, odd, before, expected)]
    slower = pulled(grind=18, time_s=35)
    assert "time" in [question.about for question in questions(PAIRING, slower, before, expected)]
