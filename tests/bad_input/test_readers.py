"""What reads text that a person typed, or a file that somebody sent."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable
from datetime import date
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt.engine.checked import checked_hold
from dialopt.logbook.plain_values import canonical, case_from_values, case_values
from dialopt.logbook.share import share_from_text
from dialopt.logbook.spreadsheet import shots_as_csv, shots_from_csv
from dialopt.logbook.typed import read_moment, read_number
from dialopt.report.template import harmless
from dialopt.sensory.serving import serving_plan
from dialopt.shell import parsers
from dialopt.shell.render import Answer, Failure, shown
from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial
from dialopt.trade.fields import COLUMNS, NUMBER_COLUMNS
from dialopt.trade.kit import Grinder
from dialopt.trade.shot import Shot
from tests.bad_input.files import SHOTS, SPANS, TABLES, cases, shares
from tests.bad_input.refusals import check_screen, taken
from tests.bad_input.texts import ANYTHING, MOMENTS, NUMBERS, TEXTS

pytestmark = pytest.mark.slow

_FIELDS = st.sampled_from([*NUMBER_COLUMNS, "purge_g", "bag_g"])
_TODAY = date(2031, 4, 20)


@given(st.tuples(_FIELDS, NUMBERS | ANYTHING))
def test_a_number(given: tuple[str, str]) -> None:
    """A number typed at the prompt or into a cell."""
    field, text = given

    def read() -> None:
        value = read_number(field, text)
        assert math.isfinite(value)
        plain = text.strip().replace("−", "-").replace(",", ".")
        assert plain.isascii(), "digits of another script are refused rather than guessed at"
        assert value == float(plain)

    taken(read)


_READERS: dict[str, Callable[[str], object]] = {
    "moment": lambda text: read_moment("pulled_at", text),
    "roast day": lambda text: parsers.read_roast_day(text, _TODAY),
    "dial": lambda text: parsers.read_dial("grind", text),
    "temperatures": parsers.read_temp_dial,
    "ratio": parsers.read_ratio,
    "ratios": parsers.read_ratio_dial,
    "hold": lambda text: parsers.read_hold(text, SPANS, None),
    "suggestion": parsers.read_bag_recipe,
    "recipe": lambda text: parsers.read_recipe("A", text),
    "picks": parsers.read_picks,
    "amount": lambda text: parsers.read_amount("hardness", text),
    "code": serving_plan,
    "bean": lambda text: Bean(name=text, roaster=text, origin=text),
    "burrs": lambda text: Grinder(name="bench grinder", grind=Dial(0, 40, 1), finer=text, burrs=text),
    "options": lambda text: parsers.shot_values(dict.fromkeys(["score", "note", "pulled_at"], text), may_clear=True),
}
_LISTS = st.sampled_from([":", " : ", ", ", " ", ";", " → "])
_HELD = st.lists(st.sampled_from(["grind=", "dose=", "temp=", "ratio=", "ratio=1:", "--Dose=", "dose_g="]), max_size=4)
_SETTINGS = st.lists(NUMBERS | ANYTHING, max_size=4)
_PHRASES = (
    ANYTHING
    | st.builds(lambda mark, parts: mark.join(parts), _LISTS, st.lists(NUMBERS | ANYTHING, max_size=4))
    | st.builds(
        lambda numbers, units: ", ".join(a + b for a, b in zip(numbers, units, strict=False)),
        st.lists(NUMBERS, max_size=4),
        st.permutations([" g", " g", " s", "°C", " ppm", " °dH", " mmol/l", " mg/L HCO3"]),
    )
    | st.text(alphabet="TPAB0123456789-QWERKF٣", max_size=12)
    | st.builds(lambda names, texts: ",".join(a + b for a, b in zip(names, texts, strict=False)), _HELD, _SETTINGS)
)


@given(st.tuples(st.sampled_from([*_READERS]), MOMENTS | _PHRASES))
def test_a_phrase(given: tuple[str, str]) -> None:
    """Dates, dials, ratios, recipes, codes, names and amounts as typed."""
    reader, text = given
    taken(lambda: _READERS[reader](text))


@given(MOMENTS | _PHRASES)
def test_what_is_held(text: str) -> None:
    """Dials to leave alone: each a finite setting, in words of the dial's own if it isn't one."""

    def read() -> None:
        held = parsers.read_hold(text, SPANS, None)
        assert held.keys() <= SPANS.dials.keys()
        assert all(math.isfinite(setting) for setting in held.values())
        assert checked_hold(SPANS, held) == pytest.approx(held)

    taken(read)


@given(TABLES)
def test_a_spreadsheet(text: str) -> None:
    """Text of a spreadsheet file."""

    def read() -> None:
        shots = shots_from_csv(text, "f.csv")
        assert shots
        assert shots_from_csv(shots_as_csv(shots), "f.csv") == shots

    taken(read)


@given(st.lists(SHOTS, min_size=1, max_size=3))
def test_no_cell_is_a_formula(shots: list[Shot]) -> None:
    """Shots to a spreadsheet and back: the same shots, no cell a formula."""
    text = shots_as_csv(shots)
    header, *rows = csv.reader(io.StringIO(text, newline=""))
    assert tuple(header) == COLUMNS
    for row in rows:
        for column, cell in zip(COLUMNS, row, strict=True):
            if column in NUMBER_COLUMNS:
                assert not cell or math.isfinite(float(cell))
            else:
                assert not cell.lstrip().startswith(tuple("=+-@＝＋－＠")), cell
                assert not cell.startswith(("\t", "\r")), cell


@given(cases())
def test_a_case(values: Any) -> None:
    """Values of a pairing with its shots."""

    def read() -> None:
        pairing, shots = case_from_values(values)
        again = json.loads(canonical(case_values(pairing, shots, notes=True)))
        assert case_from_values(again) == (pairing, shots)

    taken(read)


@given(shares())
def test_a_share_file_or_a_report(text: str) -> None:
    """Text of a share file or a report."""
    taken(lambda: share_from_text(text, "sent.json"))


@given(st.tuples(TEXTS, TEXTS, TEXTS))
def test_a_screen(given: tuple[str, ...]) -> None:
    """Answers and failures on a terminal and as JSON."""
    did, line, step = given
    answer = Answer(did=did, lines=(line,), next_step=step, data={line[:50]: did})
    failure = Failure(status=4, kind="refused", message=did, next_step=step, field=line[:50])
    for end in (answer, failure):
        check_screen(shown("shot", end, as_json=False))
        text = shown("shot", end, as_json=True)
        assert text.isascii()
        assert text.endswith("\n")
        assert text[:-1].isprintable()
        json.loads(text)


class _Elements(HTMLParser):
    """Counts the elements of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.count = 0
        self.inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.count += 1

    def handle_data(self, data: str) -> None:
        self.inside += data


@given(TEXTS)
def test_a_note_inside_the_page(text: str) -> None:
    """A note inside the page."""
    page = _Elements()
    told = harmless({"note": text, text[:50]: [text]})
    page.feed(f'<script type="application/json">{told}</script>')
    page.close()
    assert page.count == 1
    assert page.inside == told
    assert json.loads(page.inside) == {"note": text, text[:50]: [text]} or text[:50] == "note"
