from __future__ import annotations

import base64
import gzip
import json
import re
from dataclasses import replace
from datetime import date, datetime

import pytest

from dialopt import advise
from dialopt.engine.reason import Move, Reason
from dialopt.logbook.records import BurrSet
from dialopt.model.task_correlation import ROBUST_OTHER_BEANS
from dialopt.report.page import write_report
from dialopt.report.template import source_hash
from dialopt.text.guidance import HOLD_STILL
from dialopt.trade.dial import Dial
from dialopt.trade.shot import Shot
from tests.report.conftest import Page


def test_names_are_only_odd_names(a_page, a_pairing, shots, hostile):
    pairing = a_pairing(bean=hostile, roaster=hostile, origin=hostile, process=hostile)
    shot = Shot(recipe=shots[0].recipe, note=hostile)
    page = Page(
        a_page(pairing=pairing, log={**dict(enumerate(shots, 1)), 9: shot}, notes=True, earlier=[(pairing, shots)])
    )
    assert not [tag for tag, _ in page.tags if tag == "img"]
    assert page.words.count(hostile) == 5
    assert json.loads(page.scripts()["data"])["bean"]["name"] == hostile


def test_the_policy_allows_just_the_scripts_and_style_that_are_there(a_page):
    page = Page(a_page())
    rule = next(attrs["content"] for _, attrs in page.tags if attrs.get("http-equiv") == "Content-Security-Policy")
    assert rule is not None
    scripts = page.scripts()
    source = gzip.decompress(base64.b64decode(scripts["plotting"])).decode()
    parts = dict(part.split(" ", 1) for part in rule.split("; "))
    assert parts["script-src"].split() == [source_hash(scripts["own"]), source_hash(source)]
    assert parts["style-src"].split()[0] == source_hash(page.inside["style"][0])
    assert not any("style" in attrs or any(name.startswith("on") for name in attrs) for _, attrs in page.tags)


def test_nothing_is_loaded_and_the_file_is_small(a_page):
    text = a_page()
    page = Page(text)
    assert not any(name in attrs for _, attrs in page.tags for name in ("src", "href", "srcset", "action", "data"))
    assert "url(" not in page.inside["style"][0]
    assert "@import" not in page.inside["style"][0]
    assert "http://" not in text
    assert "https://" not in text
    assert len(text.encode()) < 5_000_000


def test_the_first_screen_says_what_to_set_how_sure_and_what_next(page_words):
    text = page_words()
    assert "It is likely, about 4 in 5, that no other setting" in text
    assert re.search(r"Pull next *grind 16, 18 g, 93 °C", text)
    assert "Grind 16 (was 18), towards the best guess so far." in text
    assert "10 days off roast at the last shot" in text
    assert text.index("Pull next") < text.index("Pictures")


def test_what_it_was_pulled_with_is_told(page_words, a_pairing):
    burrs = BurrSet(burrs="set 1", opened_at=datetime(2031, 1, 1), shots=5, dosed_g=90, purged_g=6)
    text = page_words(pairing=replace(a_pairing(), water="rain, <boiled>"), burrs=burrs)
    assert "rain, <boiled>" in text
    assert "set 1 , about 96 g by 5 shots logged (90 g dosed, 6 g purged)" in text
    assert "18 g in, 36 g out, 93 °C, ground to run in about 28 s" in text
    for what, how in HOLD_STILL:
        assert f"{what} : {how}" in text
    assert "Water not noted" in page_words()


def test_how_much_of_the_start_is_left_open_is_what_the_model_leaves(page_words, a_pairing, shots):
    text = page_words(earlier=[(a_pairing("Pier Mist"), shots), (a_pairing("Never Pulled"), [])])
    assert f"{100 * ROBUST_OTHER_BEANS:g} % of the start ignores all that" in text
    assert "Never Pulled" not in text


def test_numbers_are_plain_and_stay_on_a_line_with_their_units(a_page, a_pairing, an_advice, shots):
    pairing = replace(a_pairing(), ratio=7 / 3)
    measured = replace(shots[1], recipe=an_advice(pairing).sweet_spot.recipe, yield_g=42)
    why = Reason(kind="moves", prob_near_optimal=0.83, moves=(Move(dial="dose_g", was=17, now=18, why="best"),))
    advice = an_advice(pairing, edges=("grind",), why=why, shots_left=0)
    page = Page(a_page(pairing=pairing, advice=advice, log={1: measured}))
    assert "1:2.33, grams of coffee to grams in the cup" in page.text
    assert "18 g in, 42 g out" in page.text
    assert "The bag is too empty for a shot" in page.text
    assert "Dose 18\u00a0g (was 17)" in " ".join(page.words)
    assert "9.8 % strength, as measured" in page.text


def test_species_opening_and_whose_palate_are_told(page_words, a_pairing, shots):
    pairing = a_pairing(species="decaf", opened_on=date(2031, 4, 2))
    theirs = replace(a_pairing(), taster="the <roaster>")
    text = page_words(pairing=pairing, earlier=[(theirs, shots[:1])])
    assert "decaffeinated, " in text
    assert "bag opened on 2031-04-02; " in text
    assert "scored by the <roaster> , 1 shot: " in text
    assert "Tasted by whoever keeps the logbook" in text
    assert "Tasted by the <roaster>" in page_words(pairing=theirs)


def test_care_is_taken_with_milk_and_caffeine(page_words, a_pairing):
    plain, milky = page_words(), page_words(pairing=replace(a_pairing(), drink="milk"))
    assert "EFSA Journal 2015;13(5):4102" in plain
    assert "60 to 65 °C" in milky
    assert "60 to 65 °C" not in plain


def test_settled_and_edges_are_said(page_words, a_pairing, an_advice):
    pairing = a_pairing(grind=Dial(18, 30, 1))
    why = Reason(kind="settled", prob_near_optimal=0.83)
    text = page_words(pairing=pairing, advice=an_advice(pairing, settled=True, why=why, edges=("grind",)))
    assert "Dialled in. Your recipe" in text
    assert "Drink this" in text
    assert "Pull next" not in text
    assert text.count("about 4 in 5") == 1, "how sure it is, is said once"
    assert "beyond, the fine end of the dial (18)" in text


def test_notes_are_left_out_unless_asked_for(a_page):
    assert "plum jam" not in a_page()
    assert a_page(notes=True).count("plum jam, secret") == 2


def test_every_drawing_has_its_place_sentence_and_table(a_page):
    page = Page(a_page())
    drawings = json.loads(page.scripts()["drawings"])
    assert len(drawings) == 9
    ids = {attrs.get("id"): attrs for _, attrs in page.tags}
    for name in drawings:
        drawing = ids[f"drawing-{name}"]
        assert drawing["aria-labelledby"] in ids
        assert drawing["aria-describedby"] in ids
    assert sum(tag == "details" for tag, _ in page.tags) == len(drawings)


@pytest.mark.parametrize(
    ("fixed", "expected"),
    [
        ({"temp_c": Dial(93, 93)}, ["map-grind-dose", "liking-grind", "liking-dose"]),
        ({"grind": Dial(18, 18)}, ["map-dose-temperature", "liking-dose", "liking-temperature"]),
        ({"dose_g": Dial(18, 18), "temp_c": Dial(93, 93)}, ["liking-grind"]),
        ({"grind": Dial(18, 18), "dose_g": Dial(18, 18), "temp_c": Dial(93, 93)}, []),
    ],
)
def test_pictures_of_fixed_dials_fall_away(a_page, a_pairing, fixed, expected):
    drawings = json.loads(Page(a_page(pairing=a_pairing(**fixed))).scripts()["drawings"])
    assert sorted(name for name in drawings if name.startswith(("map", "liking"))) == sorted(expected)
    assert {"shot-time", "scores", "next-shot", "sureness"} <= drawings.keys()


def test_an_empty_log_makes_a_whole_report(tmp_path, a_pairing, now):
    pairing, path = a_pairing(), tmp_path / "report.html"
    write_report(path, pairing=pairing, log={}, advice=advise(pairing, []), now=now)
    text = Page(path.read_text(encoding="utf-8")).text
    assert "No shot has been logged yet" in text


def test_a_real_log_makes_a_whole_report(tmp_path, a_pairing, log, now):
    pairing, path = a_pairing(bean="half a character \ud800"), tmp_path / "report.html"
    write_report(path, pairing=pairing, log=log, advice=advise(pairing, list(log.values())), now=now)
    page = Page(path.read_text(encoding="utf-8"))
    assert len(json.loads(page.scripts()["data"])["shots"]) == len(log)
    assert "scores of one recipe scatter by" in page.text
    assert "The best cup is noted as" in page.text
    assert list(tmp_path.iterdir()) == [path]
