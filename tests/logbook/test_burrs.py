from __future__ import annotations

import random
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from itertools import pairwise

import pytest

from dialopt.errors import LogbookDamaged
from dialopt.trade.dial import Dial
from dialopt.trade.kit import Grinder
from dialopt.trade.shot import kitchen_time


def tallies(book, grinder="bench grinder"):
    return [(one.burrs, one.shots, one.dosed_g, one.purged_g) for one in book.burr_sets(grinder)]


def test_a_grinder_never_kept_has_no_burrs(book):
    assert book.burr_sets("bench grinder") == []


def test_doses_and_purges_of_the_live_shots_add_up(book, number, a_shot):
    assert tallies(book) == [("set 1", 0, 0, 0)]
    for grind in (20, 20, 18, 17):
        book.log(number, a_shot(grind=grind, dose_g=18))
    assert tallies(book) == [("set 1", 4, 72, 4)]
    book.amend(number, 2, a_shot(grind=18, dose_g=17))
    assert tallies(book) == [("set 1", 4, 71, 4)]
    book.undo(number)
    book.undo(number)
    assert tallies(book) == [("set 1", 3, 54, 2)]


def test_a_set_counts_over_bags_and_versions_of_its_grinder_but_over_no_other_grinder(book, a_pairing, a_shot):
    finer_dial = Grinder(name="Bench Grinder", grind=Dial(0, 40, 0.5), purge_g=1)
    for pairing in (
        a_pairing(bean="one"),
        a_pairing(bean="two"),
        a_pairing(bean="three", grinder="other grinder"),
        replace(a_pairing(bean="four"), grinder=finer_dial),
    ):
        number = book.save_pairing(pairing)
        book.log(number, a_shot(grind=20))
        book.log(number, a_shot(grind=18))
    assert tallies(book) == [("set 1", 6, 108, 8)], "2 g from one to two, 1 g from two to four"
    assert tallies(book, "other grinder") == [("set 1", 2, 36, 2)]


def test_moving_on_to_another_bag_purges_the_old_one_out(book, a_pairing, a_shot, clock):
    one, two = (book.save_pairing(a_pairing(bean=bean)) for bean in ("one", "two"))
    milk = book.save_pairing(a_pairing(bean="one", drink="milk"))
    book.log(one, a_shot(grind=18))
    assert (book.last_pull(two).pairing_id, book.last_pull(two).shot.recipe.grind) == (one, 18)
    book.log(two, a_shot(grind=18))
    assert tallies(book) == [("set 1", 2, 36, 2)], "the same grind, other beans"
    book.log(one, a_shot(grind=20))
    assert tallies(book) == [("set 1", 3, 54, 4)]
    book.log(milk, a_shot(grind=20))
    assert tallies(book) == [("set 1", 4, 72, 4)], "the same beans for another drink"
    assert book.last_pull(one).pairing_id == milk
    book.log(two, a_shot(grind=10, pulled_at=clock.time - timedelta(days=2)))
    assert book.last_pull(one).pairing_id == milk, "a shot of two days ago that was logged late"
    assert tallies(book) == [("set 1", 5, 90, 6)]
    book.undo(milk)
    assert book.last_pull(milk).pairing_id == one


def test_the_tally_is_what_the_grinder_says_shot_by_shot(book, a_pairing, a_shot):
    rng = random.Random(7)
    grinder = Grinder(name="bench grinder", grind=Dial(2, 12, 0.5), purge_g=1.5)
    numbers = [book.save_pairing(replace(a_pairing(bean=bean), grinder=grinder)) for bean in ("one", "two")]
    pulled = []
    for turn in range(120):
        bean, grind = rng.randrange(2), rng.choice([3, 3.1, 3.4, 3.5, 4, 12, 13, 14, 0, 1])
        at = datetime(2031, 4, 9) - timedelta(minutes=rng.randrange(4_000))
        zoned = at.astimezone(timezone(timedelta(hours=5))) if turn % 3 == 0 else at
        book.log(numbers[bean], a_shot(grind=grind, dose_g=18, pulled_at=zoned))
        pulled.append((kitchen_time(zoned), turn, bean, grind))
    pulled.sort()
    purged_g = sum(
        grinder.purged_g(before, after, same_bean=old == bean)
        for (*_, old, before), (*_, bean, after) in pairwise(pulled)
    )
    assert tallies(book) == [("set 1", 120, pytest.approx(120 * 18), pytest.approx(purged_g))]
    last = book.last_pull(numbers[0])
    assert (numbers.index(last.pairing_id), last.shot.recipe.grind) == pulled[-1][2:]


def test_burrs_through_which_nothing_went(book, a_pairing, a_shot):
    old = book.save_pairing(a_pairing())
    book.log(old, a_shot())
    assert book.last_pull(book.save_pairing(a_pairing(burrs="set 2"))) is None
    assert book.last_pull(book.save_pairing(a_pairing(grinder="other"))) is None


def test_changed_burrs_open_a_pairing_of_the_bag_in_use(book, a_pairing, a_shot):
    old = book.save_pairing(replace(a_pairing(), ratio=2.4))
    book.make_current(old)
    book.log(old, a_shot())
    opened = book.change_burrs(a_pairing(burrs="set 2").grinder)
    assert opened == book.current()
    assert (opened.id, opened.pairing.ratio, opened.pairing.grinder.burrs) == (old + 1, 2.4, "set 2")
    assert [one.burrs for one in book.burr_sets("bench grinder")] == ["set 2", "set 1"]
    back = book.change_burrs(a_pairing().grinder)
    assert (back.id, back.shots) == (old, 1)
    assert [one.burrs for one in book.burr_sets("bench grinder")] == ["set 1", "set 2"]


def test_changed_burrs_are_kept_though_another_grinder_or_none_is_in_use(book, a_pairing):
    assert book.change_burrs(a_pairing(burrs="set 2").grinder) is None
    book.make_current(book.save_pairing(a_pairing(grinder="other grinder")))
    assert book.change_burrs(a_pairing(burrs="set 3").grinder) is None
    assert book.grinder("bench grinder").burrs == "set 3"
    assert book.current().pairing.grinder.name == "other grinder"


def test_a_burr_change_is_whole_or_not_at_all(book, a_pairing, monkeypatch):
    from dialopt.logbook.store import pairings

    book.make_current(book.save_pairing(a_pairing()))

    def broken(*_):
        raise RuntimeError("power cut")

    monkeypatch.setattr(pairings, "make_current", broken)
    with pytest.raises(RuntimeError):
        book.change_burrs(a_pairing(burrs="set 2").grinder)
    assert book.grinder("bench grinder").burrs == "set 1"
    assert len(book.pairings()) == 1


def test_after_a_burr_change_the_same_bag_on_the_old_burrs_is_told_first(book, a_pairing, a_shot):
    old = book.save_pairing(a_pairing())
    elsewhere = book.save_pairing(a_pairing(grinder="other grinder"))
    other_bag = book.save_pairing(a_pairing(bean="two"))
    for number in (old, elsewhere, other_bag):
        book.log(number, a_shot())
    book.make_current(old)
    opened = book.change_burrs(a_pairing(burrs="set 2").grinder)
    assert [case.pairing_id for case in book.evidence(opened.id).others] == [old, elsewhere, other_bag]


def test_a_time_that_is_none_any_more_is_damage(book, a_pairing, a_shot):
    book.log(book.save_pairing(a_pairing()), a_shot())
    book._db.execute("DROP TRIGGER acts_no_update")
    book._db.execute("UPDATE acts SET at = 'soon'")
    with pytest.raises(LogbookDamaged, match="something in it isn't what was written"):
        book.burr_sets("bench grinder")
