"""What the pages say of values that were worked out: the card, rows of shots, and how far to trust it all."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dialopt.engine.advice import Estimate, Palate
from dialopt.engine.carried import carried
from dialopt.report.lattice import lay_out
from dialopt.report.page import grounds, track_record
from dialopt.text.cards import card_lines, labels, progress_facts, start_words
from dialopt.text.report import shot_row, source_fact, start_sentence
from dialopt.trade.dial import Dial
from tests.report.conftest import bag, on


def test_the_card_says_what_to_set_and_how_far_to_trust_it(a_pairing, an_advice):
    advice = an_advice(a_pairing(temp_c=Dial(93, 93)))
    outcome = advice.predict_outcome(advice.sweet_spot.recipe)
    lines = card_lines(advice, outcome, lay_out(advice).whereabouts)
    assert [(line.name, line.value, line.unit, line.hint) for line in lines] == [
        ("Grind", "18", "", "best 12 to 24"),
        ("Dose", "18", "g", "the best may be anywhere"),
        ("Brew water", "93", "°C", "can't be changed"),
        ("Stop at", "36", "g", "2 times the dose"),
        ("Time", "28", "s", "one shot 22 to 36"),
        ("Liking", "7.9", "of 10", "7.3 to 8.4"),
    ]


def test_a_card_among_several_says_whether_to_go_on(a_pairing, an_advice):
    open_, done = an_advice(), an_advice(settled=True)
    assert dict(progress_facts(open_)) == {
        "Sure": "83 %",
        "More tests": "still worth it",
        "Pull next": "grind 16, 18 g, 93 °C",
    }
    assert dict(progress_facts(done)) == {"Sure": "83 %", "More tests": "won't help much"}
    others = [(a_pairing(), "B"), (a_pairing("Pier Mist"), None)]
    assert start_words(others, own=True) == "its own shots, B, Pier Mist on bench grinder (set 1) and what is usual"
    assert start_words([], own=False) == "what is usual"


def test_labels_say_what_sets_them_apart_and_no_more(a_pairing):
    plain = a_pairing()
    new = on(plain, burrs="set 2")
    again = a_pairing(roasted_on=None)
    assert labels([plain, bag(plain, "Pier Mist")]) == ["Harbour Fog", "Pier Mist"]
    assert labels([plain, on(plain, name="hand")]) == ["bench grinder", "hand"]
    assert labels([plain, new, bag(new, "Pier Mist")]) == [
        "Harbour Fog, set 1",
        "Harbour Fog, set 2",
        "Pier Mist, set 2",
    ]
    assert labels([plain, again]) == ["roasted 2031-04-01", "no roasting date"]
    assert labels([plain, plain]) == [plain.title, plain.title]


def test_rows_say_what_counts_and_what_does_not(a_pairing, log, looks):
    first, second, faulty, untasted, odd = (
        shot_row(
            a_pairing(),
            look.number,
            look.shot,
            look.predicted.score,
            missed=look.inside is False,
            notes=look.number == 2,
        )
        for look in looks
    )
    assert (first.recipe, first.cup, first.date) == ("22, 18 g, 93 °C", "36.2 g in 21 s", "2031-04-09")
    assert (first.score, first.predicted) == ("5.5, sour", "5.4 to 9.6")
    assert second.remarks == ("Strength 9.8 %, extraction yield 19.6 %.",)
    assert second.note == "plum jam, secret"
    assert faulty.remarks[0].startswith("Channelled: ")
    assert "doesn't count" in faulty.remarks[0]
    assert untasted.remarks[0].startswith("Not tasted: ")
    assert untasted.score == ""
    assert odd.remarks == ("Scored lower than predicted.",)
    assert odd.cup == ""
    mistake = replace(log[2], recipe=replace(log[2].recipe, grind=220))
    unscored = replace(log[3], score=None)
    rows = [shot_row(a_pairing(), 2, shot, None, missed=False, notes=False) for shot in (mistake, unscored)]
    assert rows[0].remarks[0] == "Far off the dials, so it isn't read."
    assert "doesn't count" not in rows[1].remarks[0]
    assert {(row.note, row.predicted) for row in rows} == {("", "")}


@pytest.mark.parametrize(
    ("numbers", "grind", "read", "unread"),
    [
        (range(5), None, "Of 5 shots, 3 as tastings and 3 for the shot", "Not as a tasting: shot 3 (channelled), for"),
        ([0], None, "Of 1 shot, 1 as a tasting and 1 for the shot", "No shot was left out for a fault."),
        ([0, 0], 400, "Of 2 shots, 1 as a tasting and 1 for the shot", "Not read, as far off the dials: shot 2."),
        ([0] * 60, None, "Of 60 shots, 40 as tastings and 40 for the shot", "Of more than 40 the latest"),
    ],
)
def test_what_counted_is_said(an_advice, shots, numbers, grind, read, unread):
    log = dict(enumerate([shots[number] for number in numbers], 1))
    if grind is not None:
        log[len(log)] = replace(log[len(log)], recipe=replace(log[len(log)].recipe, grind=grind))
    said = grounds(an_advice(), log, [], earlier=False)["What counted"]
    assert said.startswith(read)
    assert unread in said


def test_the_study_is_named_for_a_chance_like_this_one(an_advice):
    said = grounds(an_advice(prob_near_optimal=0.83), {}, [], earlier=False)["On simulated bags"]
    assert "put at 80 to 90 %, as it is here" in said
    assert "reports/study.html" in said


def test_a_palate_is_described_where_it_is_known(an_advice, log):
    assert "The palate" not in grounds(an_advice(), log, [], earlier=False)
    noise, offset = Estimate(mean=0.8, low=0.5, high=1.2), Estimate(mean=0, low=-1, high=1)
    palate = Palate(noise=noise, offset=offset, repeats=0, notes=0, repeat=None)
    said = grounds(replace(an_advice(), palate=palate), log, [], earlier=True)["The palate"]
    assert said.startswith("Of whoever scored, 9 times in 10: scores of one recipe scatter by 0.8 points")
    assert "earlier pairings" in said


def test_a_source_says_what_it_is_trusted_with(a_pairing):
    other = a_pairing("Other Bag")
    found = source_fact(other, 5, carried(other, a_pairing()))
    assert found.names == ("Other Bag on bench grinder", "set 1")
    assert found.words.startswith("5 shots: ")
    assert "which grind gives which time" in found.words
    assert "nearly whole" in found.words
    assert source_fact(replace(other, taster="Ada"), 1, ()).names[-1] == "scored by Ada"
    assert start_sentence(20, 0) == "Nothing: no earlier pairing has shots."
    assert start_sentence(20, 1).startswith("20 % of the start ignores all that")


def test_the_track_record_counts_tastings_only(looks):
    assert [look.inside for look in looks] == [True, True, None, None, False]
    assert track_record(looks).startswith("2 of 3 scores fell within")
    assert track_record(looks[2:4]) == "No score could yet be held against what was predicted."
