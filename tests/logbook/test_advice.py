from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
import pytest

from dialopt.engine.advice import Advice, Estimate, PredictedOutcome, SweetSpot
from dialopt.engine.advise import advise
from dialopt.engine.reason import Move, Reason
from dialopt.errors import BadValue, NotFound
from dialopt.trade.dial import Dial
from dialopt.trade.kit import Grinder, Machine
from dialopt.trade.pairing import MOST_EARLIER
from dialopt.trade.recipe import Recipe


class Ignorance:
    """Stands in for a posterior: keeping advice must not ask it anything."""

    def predict(self, recipes):
        raise AssertionError("asked")

    predict_outcome = contains = predict


def advice_on(pairing, **changes):
    given = Advice(
        pairing=pairing,
        next_recipe=Recipe(grind=17, dose_g=18.2, temp_c=94),
        settled=False,
        why=Reason(kind="moves", prob_near_optimal=0.61, moves=(Move(dial="temp_c", was=93, now=94, why="open"),)),
        sweet_spot=SweetSpot(
            recipe=Recipe(grind=16, dose_g=18, temp_c=93),
            score=Estimate(mean=7.1, low=6.2, high=8.05),
            prob_near_optimal=0.61,
            edges=("temp_c",),
            near_optimal_ridge=(Recipe(grind=16, dose_g=18, temp_c=93), Recipe(grind=12, dose_g=18, temp_c=90)),
            modes=(Recipe(grind=30, dose_g=17, temp_c=89),),
            predictive=Ignorance(),
        ),
        expected=PredictedOutcome(
            score=Estimate(mean=6.9, low=5, high=8.5), time_s=Estimate(mean=27, low=22.5, high=33)
        ),
        shots_left=11,
        gp_weight=0.25,
        seed=2**63 - 1,
        most_moves=2,
        version="0.1.0",
    )
    return replace(given, **changes)


def test_what_was_pulled_earlier_and_logged_later_is_told_in_its_turn(book, number, a_pairing, a_shot):
    book.log(number, a_shot(score=1, pulled_at=datetime(2031, 4, 8, 8)))
    book.log(number, a_shot(score=2, pulled_at=None))
    book.log(number, a_shot(score=3, pulled_at=datetime(2031, 4, 1, 8, tzinfo=UTC)))
    book.log(number, a_shot(score=4, pulled_at=datetime(2031, 4, 9, 7)))
    evidence = book.evidence(number)
    assert [shot.score for shot in evidence.shots] == [3, 1, 2, 4], "without a time right after the one logged before"
    assert [(at, shot.score) for at, shot in evidence.case.log.items()] == [(3, 3), (1, 1), (2, 2), (4, 4)]
    assert book.replay(book.keep_advice(evidence, advice_on(a_pairing()))) == evidence


def test_every_piece_of_advice_is_kept(book, number, a_pairing, a_shot):
    first = advice_on(a_pairing())
    assert book.latest_advice(number) is None
    second = advice_on(
        a_pairing(),
        today=date(2031, 4, 9),
        finer_today=Estimate(mean=1.5, low=-0.25, high=3),
        settled=True,
        seed=0,
        next_recipe=Recipe(grind=3, dose_g=17, temp_c=90),
    )
    book.keep_advice(book.evidence(number), first)
    book.log(number, a_shot())
    book.log(number, a_shot(score=7))
    book.keep_advice(book.evidence(number), second)
    kept = book.advice_history(number)
    assert [one.rows_seen for one in kept] == [(), tuple(entry.row for entry in book.entries(number))]
    assert book.latest_advice(number) == kept[-1]
    for one, given in zip(kept, (first, second), strict=True):
        spot = given.sweet_spot
        assert (one.pairing_id, one.counts) == (number, given.pairing.counts)
        assert (one.sweet_spot_recipe, one.sweet_spot_score) == (spot.recipe, spot.score)
        for name in ("seed", "version", "settled", "reason", "next_recipe", "expected", "shots_left", "gp_weight"):
            assert getattr(one, name) == getattr(given, name)
        for name in ("today", "finer_today", "most_moves"):
            assert getattr(one, name) == getattr(given, name)
        for name in ("prob_near_optimal", "edges", "near_optimal_ridge", "modes"):
            assert getattr(one, name) == getattr(spot, name)
    assert kept[0].given_at < kept[1].given_at


def test_replay_gives_what_it_rested_on_whatever_came_after(book, a_pairing, a_shot):
    old = book.save_pairing(a_pairing(bean="last bag"))
    number = book.save_pairing(a_pairing())
    book.log(old, a_shot(grind=12, score=6))
    book.log(number, a_shot(grind=18, score=4))
    book.log(number, a_shot(grind=16, score=6))
    seen = book.evidence(number)
    kept = book.keep_advice(seen, advice_on(a_pairing()))
    # Everything that can happen afterwards does.
    book.amend(number, 2, a_shot(grind=16, score=9))
    book.log(number, a_shot(grind=15))
    book.amend(old, 1, a_shot(grind=12, score=1))
    for _ in range(5):
        try:
            book.undo(number)
        except NotFound:
            break
    book.undo(old)
    book.undo(old)
    book.amend_pairing(number, replace(a_pairing(), ratio=2.6))
    book.amend_pairing(old, replace(a_pairing(bean="last bag"), grinder=Grinder(name="other", grind=Dial(0, 9))))
    assert book.shots(number) == []
    assert book.evidence(number) != seen
    again = book.replay(kept)
    assert again == seen
    assert again.pairing == a_pairing()
    assert again.shots == [a_shot(grind=18, score=4), a_shot(grind=16, score=6)]
    assert again.earlier == [(a_pairing(bean="last bag"), [a_shot(grind=12, score=6)])]


def test_what_is_kept_is_enough_to_give_the_same_advice_again(book, a_pairing, a_shot):
    old = book.save_pairing(a_pairing(bean="last bag"))
    number = book.save_pairing(a_pairing())
    book.log(old, a_shot(grind=12, score=6, time_s=24))
    for day, grind, score in ((1, 22, 4), (4, 18, 6), (7, 16, 7)):
        shot = a_shot(grind=grind, score=score, time_s=50 - 1.5 * grind, pulled_at=datetime(2031, 4, day, 8))
        book.log(number, shot)
    evidence = book.evidence(number)
    asked = {"seed": 5, "today": date(2031, 4, 19), "counts": "recipe", "most_moves": 3}
    given = advise(evidence.pairing, evidence.shots, earlier=evidence.earlier, **asked)
    book.keep_advice(evidence, given)
    book.amend(number, 3, a_shot(grind=16, score=1))
    book.amend_pairing(number, replace(a_pairing(), ratio=2.6))

    kept = book.latest_advice(number)
    seen = book.replay(kept.id)
    asked = {name: getattr(kept, name) for name in asked}
    again = advise(seen.pairing, seen.shots, earlier=seen.earlier, **asked)
    assert (again.next_recipe, again.settled, again.reason) == (kept.next_recipe, kept.settled, kept.reason)
    assert (again.sweet_spot.recipe, again.sweet_spot.score) == (kept.sweet_spot_recipe, kept.sweet_spot_score)
    assert (again.expected, again.sweet_spot.prob_near_optimal) == (kept.expected, kept.prob_near_optimal)
    assert (again.finer_today, again.today) == (kept.finer_today, date(2031, 4, 19))
    assert kept.finer_today is not None
    # Without the day it would be other advice, so this test can tell.
    assert advise(seen.pairing, seen.shots, earlier=seen.earlier, seed=5).finer_today != kept.finer_today


def test_replaying_what_was_never_given(book):
    for number in (0, 1, 10**30):
        with pytest.raises(NotFound, match="no piece of advice"):
            book.replay(number)


def test_numbers_of_numpys_own_kinds_are_kept(book, number, a_pairing):
    given = advice_on(
        a_pairing(), seed=np.int64(7), settled=np.bool_(True), gp_weight=np.float64(0.5), shots_left=np.int64(3)
    )
    book.keep_advice(book.evidence(number), given)
    (kept,) = book.advice_history(number)
    assert (kept.seed, kept.settled, kept.gp_weight, kept.shots_left) == (7, True, 0.5, 3)


def test_a_seed_too_long_for_the_file_is_refused(book, number, a_pairing):
    with pytest.raises(BadValue, match="seed"):
        book.keep_advice(book.evidence(number), advice_on(a_pairing(), seed=2**63))
    assert book.advice_history(number) == []


def test_earlier_pairings_come_most_telling_first(book, a_pairing, a_shot):
    other_machine = Machine(name="other machine", temp_c=Dial(90, 94))
    told = {
        "same grinder, older": a_pairing(bean="one"),
        "same grinder, newer": a_pairing(bean="two"),
        "same bean": a_pairing(grinder="other grinder", machine=other_machine),
        "same machine": a_pairing(bean="three", burrs="set 2"),
        "nothing": a_pairing(bean="four", grinder="other grinder", machine=other_machine),
    }
    for pairing in reversed(list(told.values())):
        book.save_pairing(pairing)
    for name in ("same grinder, older", "same grinder, newer", "same bean", "same machine", "nothing"):
        book.log(book.save_pairing(told[name]), a_shot(note=name, score=7))
    undone = book.save_pairing(a_pairing(bean="five"))
    book.log(undone, a_shot())
    book.undo(undone)
    number = book.save_pairing(a_pairing())
    earlier = book.evidence(number).earlier
    assert [shots[0].note for _, shots in earlier] == [
        "same grinder, newer",
        "same grinder, older",
        "same bean",
        "same machine",
    ]
    assert [pairing for pairing, _ in earlier][1] == told["same grinder, older"]


def test_the_same_bean_keeps_its_place_among_many_others(book, a_pairing, a_shot):
    for name in ("first", "second", "third"):
        book.log(book.save_pairing(a_pairing(grinder=f"{name} other grinder")), a_shot(note=name, score=7))
    for number in range(MOST_EARLIER):
        book.log(book.save_pairing(a_pairing(bean=f"bean {number}")), a_shot(note="another bean", score=7))
    evidence = book.evidence(book.save_pairing(a_pairing()))
    assert [case.shots[0].note for case in evidence.read] == ["another bean", "another bean", "third", "second"]
    assert [case.shots[0].note for case in evidence.others[MOST_EARLIER:]] == ["first"], "its coffee counts"
    assert book.evidence(book.save_pairing(a_pairing(bean="bean 9"))).others[MOST_EARLIER:] == ()
