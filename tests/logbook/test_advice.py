from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from dialopt.decisions.advice import Advice, Foretold, Range, SweetSpot
from dialopt.errors import BadValue, NotFound
from dialopt.trade.dial import Dial
from dialopt.trade.kit import Grinder, Machine
from dialopt.trade.recipe import Recipe


class Ignorance:
    """Stands in for a posterior: keeping advice must not ask it anything."""

    def predict(self, recipes):
        raise AssertionError("asked")

    foretell = contains = predict


def advice_on(pairing, **changes):
    given = Advice(
        pairing=pairing,
        next_recipe=Recipe(grind=17, dose_g=18.2, temp_c=94),
        settled=False,
        reason="Finer: the last shot ran fast — and tasted of “lemon”.",
        sweet_spot=SweetSpot(
            recipe=Recipe(grind=16, dose_g=18, temp_c=93),
            score=Range(mean=7.1, low=6.2, high=8.05),
            chance_close=0.61,
            edges=("temp_c",),
            knowledge=Ignorance(),
        ),
        expected=Foretold(score=Range(mean=6.9, low=5, high=8.5), time_s=Range(mean=27, low=22.5, high=33)),
        shots_left=11,
        leaning=0.25,
        seed=2**63 - 1,
        version="0.1.0",
    )
    return replace(given, **changes)


def test_every_piece_of_advice_is_kept(book, a_pairing, a_shot):
    number = book.save_pairing(a_pairing())
    first = advice_on(a_pairing())
    second = advice_on(a_pairing(), settled=True, seed=0, next_recipe=Recipe(grind=3, dose_g=17, temp_c=90))
    book.keep_advice(book.evidence(number), first)
    book.log(number, a_shot())
    book.log(number, a_shot(score=7))
    book.keep_advice(book.evidence(number), second)
    kept = book.advice_history(number)
    assert [(one.shots_seen, one.last_seen) for one in kept] == [(0, 0), (2, 2)]
    for one, given in zip(kept, (first, second), strict=True):
        assert one.pairing_id == number
        assert (one.seed, one.version, one.settled, one.reason) == (
            given.seed,
            given.version,
            given.settled,
            given.reason,
        )
        assert (one.next_recipe, one.expected) == (given.next_recipe, given.expected)
        spot = given.sweet_spot
        assert (one.sweet_spot_recipe, one.sweet_spot_score) == (spot.recipe, spot.score)
        assert (one.chance_close, one.edges) == (spot.chance_close, spot.edges)
        assert (one.shots_left, one.leaning) == (given.shots_left, given.leaning)
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


def test_replaying_what_was_never_given(book):
    for number in (0, 1, 10**30):
        with pytest.raises(NotFound, match="no piece of advice"):
            book.replay(number)


def test_numbers_of_numpys_own_kinds_are_kept(book, a_pairing):
    number = book.save_pairing(a_pairing())
    given = advice_on(
        a_pairing(), seed=np.int64(7), settled=np.bool_(True), leaning=np.float64(0.5), shots_left=np.int64(3)
    )
    book.keep_advice(book.evidence(number), given)
    (kept,) = book.advice_history(number)
    assert (kept.seed, kept.settled, kept.leaning, kept.shots_left) == (7, True, 0.5, 3)


def test_a_seed_too_long_for_the_file_is_refused(book, a_pairing):
    number = book.save_pairing(a_pairing())
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
        book.log(book.save_pairing(told[name]), a_shot(note=name))
    undone = book.save_pairing(a_pairing(bean="five"))
    book.log(undone, a_shot())
    book.undo(undone)
    number = book.save_pairing(a_pairing())
    earlier = book.earlier(number)
    assert [shots[0].note for _, shots in earlier] == [
        "same grinder, newer",
        "same grinder, older",
        "same bean",
        "same machine",
        "nothing",
    ]
    assert [pairing for pairing, _ in earlier][1] == told["same grinder, older"]
    assert book.earlier(number, at_most=2) == earlier[:2]
    assert book.earlier(number, at_most=0) == []
