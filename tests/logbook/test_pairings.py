from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from dialopt.errors import NotFound, Refused, WrongUse
from dialopt.logbook.book import Logbook
from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial
from dialopt.trade.kit import Grinder


@pytest.mark.parametrize(
    "rest",
    [
        {"ratio": 2.2, "drink": "milk", "water": "soft, filtered"},
        {"taster": "Ada"},
        {"counts": "recipe", "bags_to_come": 40},
    ],
)
def test_a_pairing_reads_back_as_it_was_saved(book, a_pairing, rest):
    pairing = a_pairing(**rest)
    number = book.save_pairing(pairing)
    kept = book.pairing(number)
    assert (kept.id, kept.revision, kept.pairing, kept.shots) == (number, 1, pairing, 0)
    assert book.grinder("bench grinder") == pairing.grinder  # its kit was kept along


def test_saving_the_same_again_gives_the_same_number(book, a_pairing):
    assert book.save_pairing(a_pairing()) == book.save_pairing(a_pairing()) == 1
    assert book.save_pairing(a_pairing(ratio=2.5)) == 2
    assert len(book.pairings()) == 2


def test_a_pairing_keeps_the_kit_it_was_set_up_with(book, a_pairing):
    pairing = a_pairing()
    number = book.save_pairing(pairing)
    book.save_grinder(Grinder(name="bench grinder", grind=Dial(0, 80, 1)))
    assert book.pairing(number).pairing == pairing
    assert book.save_pairing(pairing) == number  # and is still recognised
    assert book.save_pairing(a_pairing(burrs="set 2")) != number


def test_the_pairing_used_last_comes_first(book, a_pairing, a_shot):
    numbers = [book.save_pairing(a_pairing(bean=name)) for name in ("one", "two", "three")]
    assert [kept.id for kept in book.pairings()] == numbers[::-1]
    book.log(numbers[0], a_shot())
    book.log(numbers[1], a_shot())
    book.log(numbers[0], a_shot())
    assert [(kept.id, kept.shots) for kept in book.pairings()] == [(numbers[0], 2), (numbers[1], 1), (numbers[2], 0)]
    assert [kept.id for kept in book.pairings(at_most=1)] == [numbers[0]]


def test_a_pairing_is_found_by_number_bean_or_title(book, a_pairing):
    fog = book.save_pairing(a_pairing(bean="harbour fog"))
    tide = book.save_pairing(a_pairing(bean="low tide"))
    for key in (fog, str(fog), "HARBOUR FOG", "harbour fog on Bench Grinder"):
        assert book.pairing(key).id == fog
    digits = book.save_pairing(a_pairing(bean=str(tide)))
    assert book.pairing(str(tide)).id == digits  # a name goes before a number


def test_a_name_that_fits_several_is_asked_about(book, a_pairing):
    book.save_pairing(a_pairing())
    book.save_pairing(a_pairing(drink="milk"))
    with pytest.raises(WrongUse, match="any of the pairings 2, 1; say which by its number"):
        book.pairing("harbour fog")


@pytest.mark.parametrize("key", [0, -1, 7, 10**30, "7", "9" * 40, "nothing", "", "²"])
def test_an_unknown_pairing_is_told_what_there_is(key, book, a_pairing):
    with pytest.raises(NotFound, match="holds none yet"):
        book.pairing(key)
    book.save_pairing(a_pairing())
    with pytest.raises(NotFound, match=r"the logbook has 1 \('harbour fog' on 'bench grinder'\)"):
        book.pairing(key)


def test_the_current_pairing_is_remembered(book, a_pairing):
    with pytest.raises(NotFound, match="No pairing is in use yet"):
        book.current()
    with pytest.raises(NotFound):
        book.make_current(1)
    numbers = [book.save_pairing(a_pairing(bean=name)) for name in ("one", "two")]
    for number in numbers:
        book.make_current(number)
        assert book.current().id == number


def test_amending_keeps_number_and_shots(book, a_pairing, a_shot):
    number = book.save_pairing(a_pairing())
    book.log(number, a_shot(score=7))
    dated = replace(a_pairing(), bean=Bean(name="harbour fog", roasted_on=date(2031, 4, 1)))
    book.amend_pairing(number, dated)
    kept = book.pairing(number)
    assert (kept.revision, kept.pairing, kept.shots) == (2, dated, 1)
    book.amend_pairing(number, dated)
    assert book.pairing(number).revision == 2


def test_amending_into_another_pairing_is_refused(book, a_pairing):
    book.save_pairing(a_pairing())
    other = book.save_pairing(a_pairing(drink="milk"))
    with pytest.raises(Refused, match="Pairing 1 is just that already"):
        book.amend_pairing(other, a_pairing())
    with pytest.raises(NotFound):
        book.amend_pairing(9, a_pairing())
    assert book.pairing(other).pairing == a_pairing(drink="milk")


def test_pregnancy_is_kept_until_it_is_taken_back_and_leaves_no_trace(book, home, clock, a_pairing):
    book.make_current(book.save_pairing(a_pairing()))
    assert book.pregnant() is False
    book.set_pregnant(True)
    book.set_pregnant(True)
    with Logbook.open(home, now=clock) as other:
        assert other.pregnant() is True
    book.set_pregnant(False)
    book.set_pregnant(False)
    assert book.pregnant() is False
    assert [name for (name,) in book._db.execute("SELECT name FROM settings")] == ["current pairing"]
    assert book.current().id == 1
