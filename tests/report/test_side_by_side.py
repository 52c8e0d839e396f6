from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime

import pytest

from dialopt import advise
from dialopt.errors import WrongUse
from dialopt.logbook.records import BurrSet
from dialopt.report.side_by_side import burr_changes, compose, write_side_by_side
from dialopt.report.sides import MOST, Side, line_up
from dialopt.report.template import is_page, source_hash
from dialopt.trade.dial import Dial
from tests.report.conftest import Page, bag, on


@pytest.fixture
def eight(a_pairing, hostile):
    """As many as there may be, with names that are odd, long and foreign."""
    plain = a_pairing(roaster=hostile)
    beans = [hostile, "x" * 200, "Äthiopien {{ 7 * 7 }}", "نادي القهوة", "豆" * 60]
    return [
        *(bag(plain, bean) for bean in beans),
        on(plain, burrs=hostile),
        on(plain, name="hand", grind=Dial(0, 300, 0.5), finer="up"),
        on(plain, name="fixed", grind=Dial(18, 18)),
    ]


def test_names_are_only_odd_names_and_nothing_runs_or_is_loaded(lined, eight, now, hostile):
    text = compose(lined(*eight), now=now)
    page = Page(text)
    assert not {"script", "img", "link", "iframe", "object"} & {tag for tag, _ in page.tags}
    assert not any(name in attrs for _, attrs in page.tags for name in ("src", "href", "srcset", "action", "style"))
    assert not any(name.startswith("on") for _, attrs in page.tags for name in attrs)
    assert "http" not in text.replace("http-equiv", "")
    assert "{{ 7 * 7 }}" in page.text
    assert page.text.count(hostile) > 5
    (style,) = page.inside["style"]
    rule = next(attrs["content"] for _, attrs in page.tags if attrs.get("http-equiv") == "Content-Security-Policy")
    assert rule == (f"default-src 'none'; base-uri 'none'; form-action 'none'; style-src {source_hash(style)}")
    assert len(text.encode()) < 300_000


def test_every_picture_has_a_sentence_a_key_and_a_table(lined, eight, now):
    page = Page(compose(lined(*eight), now=now))
    drawn = [attrs for tag, attrs in page.tags if tag == "svg"]
    assert len(drawn) == 7
    for attrs in drawn:
        assert attrs["role"] == "img"
        assert attrs["aria-label"]
        assert page.text.count(re.sub(r"\s+", " ", attrs["aria-label"])) == 1
    assert sum(tag == "figure" for tag, _ in page.tags) == 7
    assert sum(tag == "details" for tag, _ in page.tags) == 8


def test_it_says_which_did_best_and_never_more_than_is_known(side_words, lined, a_pairing, now):
    one, other = a_pairing(), a_pairing("Pier Mist")
    alike = side_words(one, other)
    assert "Too close to call: A leads, but the chance is only about 1 in 2" in alike
    assert (
        "No difference is clear yet in liking, time, flow, brew water or dose: what looks like one may be noise."
        in alike
    )
    assert "Scores compare only where one person gave them all" in alike
    shown = lined(one, other)
    better = replace(shown[1], standing=replace(shown[1].standing, liking=shown[1].standing.liking + 1.5))
    text = Page(compose([shown[0], better], now=now)).text
    assert "B looks best: the chance is at least 19 in 20 that its sweet spot beats the other's" in text
    assert re.search(r"Liking: A is liked less by 1\.5 points", text)
    assert "Whatever isn't named here may be noise." in text


def test_pairings_without_shots_are_shown_but_take_no_part_in_the_ranking(side_words, a_pairing):
    pairings = [a_pairing(), a_pairing("Pier Mist"), a_pairing("Quay Dusk")]
    text = side_words(*pairings, tasted=[True, True, False])
    assert "Not tasted yet: C. What is shown of it is predicted" in text
    assert re.search(r"its sweet spot beats that of [AB], going by", text), "of three the other is no name"
    assert text.count("No shot has been logged yet") == 1
    ranking = text[text.index("Which did best") : text.index("The recipe for each")]
    assert re.findall(r"([ABC]) +(?:Harbour Fog|Pier Mist|Quay Dusk) +7\.9", ranking) == ["A", "B"]
    only = side_words(*pairings, tasted=[False, True, False])
    assert "Only B has been tasted so far, so nothing can be said of which is best: what is shown of the others" in only
    two = side_words(*pairings[:2], tasted=[True, False])
    assert "what is shown of the other is predicted" in two
    none = side_words(*pairings, tasted=[False] * 3)
    assert "None of them has been tasted yet" in none
    assert "How sure, shot by shot" not in none
    assert "No score could yet be held against" in none


def test_what_makes_scores_less_comparable_is_said(side_words, a_pairing):
    plain = a_pairing()
    text = side_words(plain, replace(plain, drink="milk", ratio=2.5, water="spring"))
    assert "Some were scored straight and some in milk" in text
    assert "different ratios" in text
    assert "different water" in text
    assert "60 to 65 °C" in text


def test_what_could_not_be_chosen_is_not_called_a_liking_of_the_coffee(side_words, a_pairing):
    plain = a_pairing()
    hot = replace(plain, machine=replace(plain.machine, name="hot", temp_c=Dial(95, 95)))
    deep = replace(plain, basket=replace(plain.basket, name="deep", dose_g=Dial(19.8, 24, 0.1)))
    text = side_words(plain, hot, deep)
    assert "wants hotter water" not in text
    assert "wants more coffee" not in text
    assert "Brew water: B not compared, as it can't be set for B." in text
    assert "Dose: C not compared, as hardly any setting is common to both." in text
    temp, dose = (f"{dial.low:g} to {dial.high:g}" for dial in (plain.machine.temp_c, plain.basket.dose_g))
    assert (
        f"Brew water: the best could be sought among different settings only (A {temp} °C; B 95 °C; C {temp} °C)."
    ) in text
    assert f"(A {dose} g; B {dose} g; C 19.8 to 24 g)." in text


def test_scores_of_several_people_rank_nothing(lined, a_pairing, now):
    shown = lined(a_pairing(), replace(a_pairing("Pier Mist"), taster="Ada"), a_pairing("Quay Dusk"))
    better = replace(shown[1], standing=replace(shown[1].standing, liking=shown[1].standing.liking + 1.5))
    text = Page(compose([shown[0], better, shown[2]], now=now)).text
    assert "They were scored by 2 people, so their scores can't tell which is best." in text
    assert "Chance of being best" not in text
    assert "is liked more" not in text
    assert "Liking: B not compared, as it was scored by somebody else." in text


def test_new_burrs_are_told_of_in_order_of_time(side_words, lined, a_pairing, now):
    old = a_pairing()
    new, newest = on(old, burrs="set 2"), on(old, burrs="set 3")

    def put_in(shown, day):
        burrs = BurrSet(
            burrs=shown.pairing.grinder.burrs, opened_at=datetime(2031, 4, day), shots=5, dosed_g=90, purged_g=8
        )
        return replace(shown, side=replace(shown.side, burrs=burrs, earlier=[(old, shown.shots)]))

    shown = lined(newest, old, new, bag(new, "Pier Mist"))
    shown = [put_in(one, day) for one, day in zip(shown, (9, 1, 5, 5), strict=True)]
    assert [(change.before.letter, change.after.letter) for change in burr_changes(shown)] == [("B", "C"), ("C", "A")]
    text = Page(compose(shown, now=now)).text
    assert "moved isn't clear, " in text
    assert "Liking at the sweet spot with set 2 against set 1: no clear difference" in text
    assert "Carried over to set 2: the best cup's time, dose and temperature (nearly whole)" in text
    assert "set 3, about 98 g by 5 shots logged (90 g dosed, 8 g purged)" in text
    assert "Before and after new burrs" not in side_words(old, bag(old, "Pier Mist"))


def test_two_to_eight(a_pairing):
    side = Side(shots=[], advice=advise(a_pairing(), []))
    for count in (0, 1, MOST + 1):
        with pytest.raises(WrongUse, match=f"{count} can't be put side by side; take 2 to 8 pairings"):
            line_up([side] * count)


@pytest.mark.slow
def test_real_logs_make_a_whole_page(tmp_path, a_pairing, shots, now):
    first, second = a_pairing("half a character \ud800"), on(a_pairing("Pier Mist"), name="hand")
    seen = []
    sides = [
        Side(shots=shots, advice=advise(first, shots)),
        Side(shots=shots[:2], advice=advise(second, shots[:2], earlier=[(first, shots)]), earlier=[(first, shots)]),
        Side(shots=[], advice=advise(second, [])),
    ]
    shown = line_up(sides, lambda done, of: seen.append((done, of)))
    assert seen == [(done, 7) for done in range(1, 8)]
    path = tmp_path / "page.html"
    write_side_by_side(path, shown, now=now)
    text = Page(path.read_text(encoding="utf-8")).text
    assert "its own shots, A and what is usual" in text
    assert is_page(path)
    assert list(tmp_path.iterdir()) == [path]
