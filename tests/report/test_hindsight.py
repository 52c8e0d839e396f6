from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from dialopt import advise
from dialopt.logbook.records import Log
from dialopt.report.hindsight import look_back
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


def numbered(shots: Sequence[Shot]) -> Log:
    return dict(enumerate(shots, start=1))


def test_each_shot_is_predicted_from_the_shots_before_it_alone(
    a_pairing: Callable[..., Pairing], shots: list[Shot]
) -> None:
    pairing, told = a_pairing(), []
    looks = look_back(pairing, numbered(shots[:3]), seed=4, progress=lambda done, of: told.append((done, of)))
    for number, look in enumerate(looks):
        before = advise(pairing, shots[:number], seed=4)
        assert look.predicted == before.predict_outcome(shots[number].recipe, 0.9)
        assert look.prob_near_optimal == before.sweet_spot.prob_near_optimal
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_what_another_bag_showed_later_changes_no_look_and_what_it_showed_before_does(
    a_pairing: Callable[..., Pairing], shots: list[Shot]
) -> None:
    pairing, other = a_pairing(), a_pairing("Pier Mist")
    here = [replace(shot, pulled_at=datetime(2031, 4, 9, 8 + hour)) for hour, shot in enumerate(shots[:2])]
    between = [replace(shot, pulled_at=datetime(2031, 4, 9, 8, 30)) for shot in shots[2:]]
    late = [replace(shot, pulled_at=datetime(2031, 4, 9, 12, tzinfo=UTC) + timedelta(days=1)) for shot in shots]
    alone, beside_later = look_back(pairing, numbered(here)), look_back(pairing, numbered(here), [(other, late)])
    assert beside_later == alone
    beside = look_back(pairing, numbered(here), [(other, [*between, *late])])
    assert beside[0] == alone[0]
    assert beside[1].predicted == advise(pairing, here[:1], earlier=[(other, between)]).predict_outcome(
        here[1].recipe, 0.9
    )
    assert beside[1].predicted != alone[1].predicted


def test_where_dates_are_missing_all_of_another_bag_counts_as_pulled_before(
    a_pairing: Callable[..., Pairing], shots: list[Shot]
) -> None:
    pairing, earlier = a_pairing(), [(a_pairing("Pier Mist"), [replace(shots[0], pulled_at=None), shots[4]])]
    dated, undated = shots[:1], [replace(shots[0], pulled_at=None)]
    for told, known in ((undated, earlier), (dated, [(earlier[0][0], earlier[0][1][:1])])):
        (look,) = look_back(pairing, numbered(told), earlier)
        assert look.predicted == advise(pairing, [], earlier=known).predict_outcome(shots[0].recipe, 0.9)


def test_only_the_last_shots_are_looked_back_on(a_pairing: Callable[..., Pairing], shots: list[Shot]) -> None:
    assert [look.number for look in look_back(a_pairing(), {4: shots[0], 7: shots[1]}, most=1)] == [7]


def test_a_slip_of_the_pen_is_not_looked_back_on_and_keeps_its_number(
    a_pairing: Callable[..., Pairing], shots: list[Shot]
) -> None:
    slip = replace(shots[0], recipe=replace(shots[0].recipe, grind=220))
    alone = look_back(a_pairing(), numbered(shots[:2]))
    told = look_back(a_pairing(), {1: shots[0], 2: slip, 5: shots[1]})
    assert [(look.number, look.before) for look in told] == [(1, 0), (5, 2)]
    assert [look.predicted for look in told] == [look.predicted for look in alone]
