from __future__ import annotations

import base64
import gzip
import json
import os
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from html.parser import HTMLParser
from pathlib import Path

import pytest

from dialopt import advise
from dialopt.engine.advice import Advice
from dialopt.engine.reason import Move, Reason
from dialopt.errors import Refused
from dialopt.logbook.records import BurrSet, Log
from dialopt.model.task_correlation import ROBUST_OTHER_BEANS
from dialopt.report.hindsight import Look
from dialopt.report.page import compose, write_report
from dialopt.report.policy import source_hash
from dialopt.report.template import is_page
from dialopt.text.guidance import HOLD_STILL
from dialopt.trade.dial import Dial
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


class Page(HTMLParser):
    """What a browser would make of the text: elements, scripts and styles, and the words outside them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.inside: dict[str, list[str]] = {"script": [], "style": []}
        self.words: list[str] = []
        self._open = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag in self.inside:
            self._open = tag
            self.inside[tag].append("")

    def handle_endtag(self, tag: str) -> None:
        self._open = ""

    def handle_data(self, data: str) -> None:
        if self._open:
            self.inside[self._open][-1] += data
        else:
            self.words.append(data)

    @property
    def text(self) -> str:
        return re.sub(r"[\s\u00a0]+", " ", " ".join(self.words))

    def scripts(self) -> dict[str, str]:
        names = [attrs.get("id") or "own" for tag, attrs in self.tags if tag == "script"]
        return dict(zip(names, self.inside["script"], strict=True))


@pytest.fixture
def a_page(
    a_pairing: Callable[..., Pairing],
    an_advice: Callable[..., Advice],
    log: Log,
    looks: list[Look],
    now: datetime,
) -> Callable[..., str]:
    def build(**changes: object) -> str:
        pairing = changes.pop("pairing", None) or a_pairing()
        values: dict[str, object] = {
            "pairing": pairing,
            "advice": an_advice(pairing),
            "log": log,
            "looks": looks,
            "earlier": [],
            "now": now,
            "notes": False,
            **changes,
        }
        return compose(**values)  # type: ignore[arg-type]  # each test passes what compose takes

    return build


def test_names_are_only_odd_names(
    a_page: Callable[..., str], a_pairing: Callable[..., Pairing], shots: list[Shot], hostile: str
) -> None:
    pairing = a_pairing(bean=hostile, roaster=hostile, origin=hostile, process=hostile)
    shot = Shot(recipe=shots[0].recipe, note=hostile)
    page = Page(
        a_page(pairing=pairing, log={**dict(enumerate(shots, 1)), 9: shot}, notes=True, earlier=[(pairing, shots)])
    )
    assert not [tag for tag, _ in page.tags if tag == "img"]
    assert page.words.count(hostile) == 5
    assert json.loads(page.scripts()["data"])["bean"]["name"] == hostile


def test_the_policy_allows_just_the_scripts_and_style_that_are_there(a_page: Callable[..., str]) -> None:
    page = Page(a_page())
    rule = next(attrs["content"] for _, attrs in page.tags if attrs.get("http-equiv") == "Content-Security-Policy")
    assert rule is not None
    scripts = page.scripts()
    source = gzip.decompress(base64.b64decode(scripts["plotting"])).decode()
    parts = dict(part.split(" ", 1) for part in rule.split("; "))
    assert parts["script-src"].split() == [source_hash(scripts["own"]), source_hash(source)]
    assert parts["style-src"].split()[0] == source_hash(page.inside["style"][0])
    assert not any("style" in attrs or any(name.startswith("on") for name in attrs) for _, attrs in page.tags)


def test_nothing_is_loaded_and_the_file_is_small(a_page: Callable[..., str]) -> None:
    text = a_page()
    page = Page(text)
    assert not any(name in attrs for _, attrs in page.tags for name in ("src", "href", "srcset", "action", "data"))
    assert "url(" not in page.inside["style"][0]
    assert "@import" not in page.inside["style"][0]
    assert "http://" not in text
    assert "https://" not in text
    assert len(text.encode()) < 5_000_000


def test_the_first_screen_says_what_to_set_how_sure_and_what_next(a_page: Callable[..., str]) -> None:
    text = Page(a_page()).text
    assert "It is likely, about 4 in 5, that no other setting" in text
    assert re.search(r"Pull next *grind 16, 18 g, 93 °C", text)
    assert "Grind 16 (was 18), towards the best guess so far." in text
    assert "10 days off roast at the last shot" in text
    assert text.index("Pull next") < text.index("Pictures")


def test_what_it_was_pulled_with_is_told(a_page: Callable[..., str], a_pairing: Callable[..., Pairing]) -> None:
    pairing = replace(a_pairing(), water="rain, <boiled>")
    burrs = BurrSet(burrs="set 1", opened_at=datetime(2031, 1, 1), shots=5, dosed_g=90, purged_g=6)
    text = Page(a_page(pairing=pairing, burrs=burrs)).text
    assert "rain, <boiled>" in text
    assert "set 1 : about 96 g by 5 shots logged (90 g dosed, 6 g purged)" in text
    assert "18 g in, 36 g out, 93 °C, at the grind that runs in about 28 s" in text
    for what, how in HOLD_STILL:
        assert f"{what} : {how}" in text
    assert "Water Not noted." in Page(a_page()).text


def test_how_much_of_the_start_is_left_open_is_what_the_model_leaves(
    a_page: Callable[..., str], a_pairing: Callable[..., Pairing], shots: list[Shot]
) -> None:
    text = Page(a_page(earlier=[(a_pairing("Pier Mist"), shots)])).text
    assert f"{100 * ROBUST_OTHER_BEANS:g} % of the start is left as if nothing were known" in text


def test_numbers_are_plain_and_stay_on_a_line_with_their_units(
    a_page: Callable[..., str], a_pairing: Callable[..., Pairing], an_advice: Callable[..., Advice], shots: list[Shot]
) -> None:
    pairing = replace(a_pairing(), ratio=7 / 3)
    measured = replace(shots[1], recipe=an_advice(pairing).sweet_spot.recipe, yield_g=42)
    advice = replace(
        an_advice(pairing, edges=("grind",)),
        why=Reason(kind="moves", prob_near_optimal=0.83, moves=(Move(dial="dose_g", was=17, now=18, why="best"),)),
        shots_left=0,
    )
    page = Page(a_page(pairing=pairing, advice=advice, log={1: measured}))
    assert "2.33 g in the cup for each gram" in page.text
    assert "18 g in, 42 g out" in page.text
    assert "The bag no longer holds a whole shot" in page.text
    assert "Dose 18\u00a0g (was 17)" in " ".join(page.words)
    assert "strength 9.8 % where it was measured" in page.text


def test_species_opening_and_whose_palate_are_told(
    a_page: Callable[..., str], a_pairing: Callable[..., Pairing], shots: list[Shot]
) -> None:
    pairing = a_pairing()
    opened = replace(pairing, bean=replace(pairing.bean, species="decaf", opened_on=date(2031, 4, 2)))
    theirs = replace(pairing, taster="the <roaster>")
    text = Page(a_page(pairing=opened, earlier=[(theirs, shots[:1])])).text
    assert "decaffeinated, " in text
    assert "bag opened on 2031-04-02; " in text
    assert "1 shot scored by the <roaster>" in " ".join(text.split())
    assert "Tasted by Whoever keeps the logbook" in text
    assert "Tasted by the <roaster>" in " ".join(Page(a_page(pairing=theirs)).text.split())


def test_care_is_taken_with_milk_and_caffeine(a_page: Callable[..., str], a_pairing: Callable[..., Pairing]) -> None:
    plain, milky = Page(a_page()).text, Page(a_page(pairing=replace(a_pairing(), drink="milk"))).text
    assert "EFSA Journal 2015;13(5):4102" in plain
    assert "60 to 65 °C" in milky
    assert "60 to 65 °C" not in plain


def test_settled_and_edges_are_said(
    a_page: Callable[..., str], a_pairing: Callable[..., Pairing], an_advice: Callable[..., Advice]
) -> None:
    pairing = a_pairing(grind=Dial(18, 30, 1))
    text = Page(a_page(pairing=pairing, advice=an_advice(pairing, settled=True, edges=("grind",)))).text
    assert "Drink this" in text
    assert "Pull next" not in text
    assert "beyond, the fine end of the dial (18)" in text


def test_notes_are_left_out_unless_asked_for(a_page: Callable[..., str]) -> None:
    assert "plum jam" not in a_page()
    assert a_page(notes=True).count("plum jam, secret") == 2


def test_every_drawing_has_its_place_sentence_and_table(a_page: Callable[..., str]) -> None:
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
        ({"temp_c": Dial(93, 93)}, ["map-grind-dose", "profile-grind", "profile-dose"]),
        ({"grind": Dial(18, 18)}, ["map-dose-temperature", "profile-dose", "profile-temperature"]),
        ({"dose_g": Dial(18, 18), "temp_c": Dial(93, 93)}, ["profile-grind"]),
        ({"grind": Dial(18, 18), "dose_g": Dial(18, 18), "temp_c": Dial(93, 93)}, []),
    ],
)
def test_maps_and_profiles_of_fixed_dials_fall_away(
    a_page: Callable[..., str], a_pairing: Callable[..., Pairing], fixed: dict[str, Dial], expected: list[str]
) -> None:
    drawings = json.loads(Page(a_page(pairing=a_pairing(**fixed))).scripts()["drawings"])
    assert sorted(name for name in drawings if name.startswith(("map", "profile"))) == sorted(expected)
    assert {"clock", "shots", "next-shot", "sureness"} <= drawings.keys()


def test_an_empty_log_makes_a_whole_report(tmp_path: Path, a_pairing: Callable[..., Pairing], now: datetime) -> None:
    pairing, path = a_pairing(), tmp_path / "report.html"
    write_report(path, pairing=pairing, log={}, advice=advise(pairing, []), now=now)
    text = Page(path.read_text(encoding="utf-8")).text
    assert "No shot has been logged yet" in text


def test_a_real_log_makes_a_whole_report(
    tmp_path: Path, a_pairing: Callable[..., Pairing], log: Log, now: datetime
) -> None:
    pairing, path = a_pairing(bean="half a character \ud800"), tmp_path / "report.html"
    write_report(path, pairing=pairing, log=log, advice=advise(pairing, list(log.values())), now=now)
    page = Page(path.read_text(encoding="utf-8"))
    assert len(json.loads(page.scripts()["data"])["shots"]) == len(log)
    assert "scores of one recipe scatter by" in page.text
    assert "The best cup is noted as" in page.text
    assert list(tmp_path.iterdir()) == [path]


def test_a_failure_between_writing_and_replacing_leaves_the_old_report(
    tmp_path: Path, a_pairing: Callable[..., Pairing], now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    pairing, path = a_pairing(), tmp_path / "report.html"
    path.write_text("the old report", encoding="utf-8")
    seen: list[int] = []

    def full(self: Path, target: Path) -> Path:
        seen.append(self.stat().st_size)
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(Refused, match=r"report\.html.*No space left"):
        write_report(path, pairing=pairing, log={}, advice=advise(pairing, []), now=now)
    assert seen[0] > 1_000_000
    assert path.read_text(encoding="utf-8") == "the old report"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_is_refused(
    tmp_path: Path, a_pairing: Callable[..., Pairing], now: datetime
) -> None:
    pairing = a_pairing()
    with pytest.raises(Refused, match="can't be written"):
        write_report(tmp_path / "no" / "r.html", pairing=pairing, log={}, advice=advise(pairing, []), now=now)


def test_a_page_is_told_from_any_other_file(tmp_path: Path, a_page: Callable[..., str]) -> None:
    text = a_page()
    for name, content, own in (
        ("report.html", text, True),
        ("quoted.html", f"<!DOCTYPE html><html><body>{'My bags. ' * 50}{text}", False),
        ("empty.html", "", False),
        ("shots.csv", "grind,dose_g,temp_c\n18,18,93\n", False),
    ):
        (tmp_path / name).write_text(content, encoding="utf-8", newline="")
        assert is_page(tmp_path / name) is own, name
    assert not is_page(tmp_path)
    assert not is_page(tmp_path / "gone.html")
    assert not is_page(tmp_path / "a\0b")
