from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from dialopt.errors import BadValue, NotFound
from dialopt.logbook.plain_values import parts_of
from dialopt.logbook.store.kit import KINDS
from dialopt.trade.bag_recipe import BagRecipe
from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial
from dialopt.trade.kit import Basket, Grinder, Machine

THINGS = [
    ("grinder", Grinder(name="upstairs", grind=Dial(0, 7.3, 0.25), finer="up", burrs="flat pair", purge_g=1.5)),
    ("machine", Machine(name="lever", temp_c=Dial(93, 93))),
    ("basket", Basket(name="deep", dose_g=Dial(16.5, 20, 0.1))),
    ("bean", Bean(name="harbour fog")),
    (
        "bean",
        Bean(name="Größe", roaster="r", origin="o", process="p", roast="light", roasted_on=date(2031, 4, 1), bag_g=340),
    ),
    ("bean", Bean(name="advised", suggested=BagRecipe(ratio=2.25, temp_c=93.5))),
    ("bean", Bean(name="plain sack", species="decaf", opened_on=date(2031, 4, 8))),
]


@pytest.mark.parametrize(("kind", "thing"), THINGS)
def test_kit_reads_back_as_it_was_saved(kind, thing, book):
    getattr(book, f"save_{kind}")(thing)
    assert getattr(book, kind)(thing.name) == thing
    assert getattr(book, f"{kind}s")() == [thing]


def test_other_values_under_a_known_name_are_its_newest_version_and_the_same_again_is_nothing(book):
    old, new = (Grinder(name="upstairs", grind=Dial(0, 40), burrs=burrs) for burrs in ("set 1", "set 2"))
    for version in (old, old, new, new, old):
        book.save_grinder(version)
        assert book.grinder("upstairs") == version
        assert book.grinders() == [version]
    assert book._db.execute("SELECT count(*) FROM grinders").fetchone() == (3,)


def test_a_name_is_found_whatever_its_case_and_encoding(book):
    book.save_bean(Bean(name="Café Größe"))
    assert book.bean("  CAFE\u0301 GRÖSSE ").name == "Café Größe"
    book.save_bean(Bean(name="café größe", roast="dark"))
    assert [bean.roast for bean in book.beans()] == ["dark"]


def test_an_unknown_name_is_told_what_there_is(book):
    with pytest.raises(NotFound, match=r"no grinder 'x'; the logbook knows no grinder yet\."):
        book.grinder("x")
    book.save_grinder(Grinder(name="upstairs", grind=Dial(0, 40)))
    with pytest.raises(NotFound, match="the logbook knows 'upstairs'"):
        book.grinder("x")


def test_half_a_character_is_refused(book):
    half = "half \ud83d"
    for call in (
        lambda: book.save_bean(Bean(name=half)),
        lambda: book.save_bean(Bean(name="whole", roaster=half)),
        lambda: book.bean(half),
    ):
        with pytest.raises(BadValue, match="whole Unicode characters"):
            call()


def test_every_declared_field_has_its_columns_and_no_column_is_of_none(book, a_pairing):
    pairing = replace(a_pairing(), bean=Bean(name="harbour fog", suggested=BagRecipe(ratio=2)))
    book.save_pairing(pairing)
    for thing, table, more in (
        *((getattr(pairing, kind), f"{kind}s", {"known_as", "saved_at", "id"}) for kind in KINDS),
        (pairing, "pairing_revisions", {"pairing_id", "revision", "saved_at", "ratio_high", "ratio_step"}),
    ):
        columns = set()
        for field in type(thing).FIELDS:
            parts = parts_of(field) if field.name not in KINDS else ("id",)
            columns |= {f"{field.name}_{part}" for part in parts} or {field.name}
        there = {row[1] for row in book._db.execute(f"PRAGMA table_info({table})")}
        assert there - more == columns, table
