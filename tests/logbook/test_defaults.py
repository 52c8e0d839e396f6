"""The settings that a shot is taken to have where nobody said otherwise."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from types import SimpleNamespace

from dialopt import Dial, Pairing, Recipe, Shot
from dialopt.logbook.defaults import Source, defaults
from dialopt.logbook.records import Entry

NOON = datetime(2031, 4, 9, 12)
ADVISED, SPOT = (Recipe(grind=grind, dose_g=18, temp_c=93) for grind in (15, 16))


def entries(*shots: Shot) -> list[Entry]:
    return [
        Entry(row=10 + number, number=number, revision=1, shot=shot, written_at=NOON)
        for number, shot in enumerate(shots, 1)
    ]


def shot(grind: float, **more: object) -> Shot:
    return Shot(recipe=Recipe(grind=grind, dose_g=18, temp_c=93), **more)  # type: ignore[arg-type]


def advice(*rows: int) -> SimpleNamespace:
    """As it is kept, as far as it is asked. rows: that it saw."""
    return SimpleNamespace(rows_seen=rows, next_recipe=ADVISED, sweet_spot_recipe=SPOT, given_at=NOON)


def test_what_was_advised_for_this_very_shot(pairing: Pairing) -> None:
    log = entries(shot(18), shot(19))
    found = defaults(pairing, log, advice(11, 12))
    assert (found.recipe, found.source, found.last) == (ADVISED, Source(kind="advised"), log[1].shot)
    for stale in (advice(11), advice(11, 12, 13), None):
        assert defaults(pairing, log, stale).source == Source(kind="shot_before")
    narrow = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(16, 40, 1)))
    assert defaults(narrow, log, advice(11, 12)).recipe == log[1].shot.recipe, "its dials were narrowed since"


def test_a_slip_of_the_pen_goes_no_further(pairing: Pairing) -> None:
    found = defaults(pairing, entries(shot(18), shot(180)), None)
    assert (found.recipe, found.source) == (shot(18).recipe, Source(kind="last_on_dials"))
    assert defaults(pairing, entries(shot(180)), None).recipe is None
    assert defaults(pairing, [], None).source is None


def test_the_shot_before_is_the_one_pulled_before(pairing: Pairing) -> None:
    later, earlier = shot(18, pulled_at=NOON), shot(30, pulled_at=NOON.replace(year=2001))
    assert defaults(pairing, entries(later, earlier), None).recipe == later.recipe


def test_a_cup_of_the_sweet_spot_never_grows_stale(pairing: Pairing) -> None:
    log = entries(shot(18))
    assert defaults(pairing, log, advice(11), best=True).source == Source(kind="sweet_spot")
    since = defaults(pairing, log, advice(), best=True)
    assert (since.recipe, since.source) == (SPOT, Source(kind="sweet_spot", shown_at=NOON))
    narrow = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(17, 40, 1)))
    assert defaults(narrow, log, advice(11), best=True).recipe is None
    assert defaults(pairing, log, None, best=True).recipe is None


def test_strength_is_worth_asking_for_once_it_was_noted(pairing: Pairing) -> None:
    assert not defaults(pairing, entries(shot(18)), None).with_strength
    assert defaults(pairing, entries(shot(18, yield_g=36, tds_pct=9), shot(18)), None).with_strength
