from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from dialopt.engine.advice import Advice, Estimate, Palate
from dialopt.logbook.records import Log
from dialopt.report.hindsight import Look
from dialopt.report.trust import grounds, sources, track_record
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


def test_faults_are_named_with_their_shots(an_advice: Callable[..., Advice], log: Log, looks: list[Look]) -> None:
    counted = grounds(an_advice(), log, looks, earlier=False)["Counted"]
    assert counted.startswith(
        "Of 5 shots, 3 as tastings and 3 for the shot clock. Not as a tasting: shot 3 (channelled),"
    )
    whole = grounds(an_advice(), {1: log[1]}, looks[:1], earlier=False)["Counted"]
    assert whole == "Of 1 shot, 1 as a tasting and 1 for the shot clock. No shot was left out for a fault."


def test_what_is_not_read_is_not_counted(an_advice: Callable[..., Advice], shots: list[Shot]) -> None:
    slip = replace(shots[0], recipe=replace(shots[0].recipe, grind=400))
    counted = grounds(an_advice(), {1: shots[0], 4: slip}, [], earlier=False)["Counted"]
    assert counted.startswith(
        "Of 2 shots, 1 as a tasting and 1 for the shot clock. Not read, as far off the dials: shot 4."
    )
    many = grounds(an_advice(), dict.fromkeys(range(60), shots[0]), [], earlier=False)["Counted"]
    assert many.startswith("Of 60 shots, 40 as tastings and 40 for the shot clock. Of more than 40 the latest")


def test_the_study_is_named_for_a_chance_like_this_one(an_advice: Callable[..., Advice]) -> None:
    told = grounds(an_advice(prob_near_optimal=0.83), {}, [], earlier=False)["On simulated bags"]
    assert "put at 80 to 90 %, as it is here" in told
    assert "reports/study.html" in told


def test_a_palate_is_told_of_where_it_is_known(an_advice: Callable[..., Advice], log: Log) -> None:
    assert "The palate" not in grounds(an_advice(), log, [], earlier=False)
    noise, offset = Estimate(mean=0.8, low=0.5, high=1.2), Estimate(mean=0, low=-1, high=1)
    palate = Palate(noise=noise, offset=offset, repeats=0, notes=0, repeat=None)
    told = grounds(replace(an_advice(), palate=palate), log, [], earlier=True)["The palate"]
    assert told.startswith("Of whoever scored, 9 times in 10: scores of one recipe scatter by 0.8 points")
    assert "earlier pairings" in told


def test_only_pairings_with_shots_are_sources(a_pairing: Callable[..., Pairing], shots: list[Shot]) -> None:
    other = a_pairing(bean="Other Bag")
    found = sources(a_pairing(), [(other, shots), (a_pairing(bean="Never Pulled"), [])])
    assert [(one.title, one.burrs, one.shots) for one in found] == [("Other Bag on bench grinder", "set 1", 5)]
    assert "which grind gives which time" in found[0].kept
    assert "nearly whole" in found[0].kept


def test_the_track_record_counts_tastings_only(looks: list[Look]) -> None:
    assert [look.inside for look in looks] == [True, True, None, None, False]
    assert track_record(looks).startswith("2 of 3 scores fell within")
    assert track_record(looks[2:4]) == "No score could yet be held against what was predicted."
