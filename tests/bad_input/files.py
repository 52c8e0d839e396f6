"""Strategies for shots, spreadsheets and share files: sound ones, and ones with something wrong in them."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from dialopt import FAULTS, Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot
from dialopt.logbook.plain_values import case_values
from dialopt.logbook.share import FORMAT
from dialopt.trade.fields import COLUMNS, LEAST_RATIO, MOST_RATIO
from tests.bad_input.texts import ANYTHING, FILEABLE, MOMENTS, NUMBERS, TEXTS, ZONES

PAIRING = Pairing(
    bean=Bean(name="Nobody's Field", roaster="Imaginary Roastery", bag_g=250),
    grinder=Grinder(name="bench grinder", grind=Dial(0, 40, 1)),
    machine=Machine(name="bench machine", temp_c=Dial(88, 96, 1)),
    basket=Basket(dose_g=Dial(16.5, 20, 0.1)),
)
SPANS = replace(PAIRING, ratio=Dial(1.5, 3, 0.1))
"""The same where the ratio may vary."""


def _maybe(low: float, high: float) -> st.SearchStrategy[float | None]:
    return st.none() | st.floats(low, high)


def shots_noted(notes: st.SearchStrategy[str]) -> st.SearchStrategy[Shot]:
    """Shots that are as they should be, however odd, with such notes or none."""
    return st.builds(
        Shot,
        recipe=st.builds(
            Recipe,
            grind=st.floats(-1e9, 1e9),
            dose_g=st.floats(1, 60),
            temp_c=st.floats(20, 110),
            ratio=_maybe(LEAST_RATIO, MOST_RATIO),
        ),
        yield_g=_maybe(0.1, 500),
        time_s=_maybe(1, 600),
        score=_maybe(0, 10),
        balance=_maybe(-3, 3),
        fault=st.none() | st.sampled_from(sorted(FAULTS)),
        tds_pct=_maybe(0.1, 30),
        pulled_at=st.none() | st.datetimes(timezones=ZONES),
        note=st.none() | notes,
        preinfusion_s=_maybe(0, 120),
    )


SHOTS = shots_noted(FILEABLE.filter(lambda text: len(text) <= 10_000))

_SOUND = {"grind": "18", "dose_g": "18.1", "temp_c": "93", "yield_g": "36", "time_s": "27", "score": "7.5"}
_SOUND |= {"balance": "-1", "pulled_at": "2024-04-09T07:15", "note": "plum", "preinfusion_s": "6", "ratio": "2.1"}


@st.composite
def _places(draw: st.DrawFn, columns: list[str]) -> list[int]:
    """Which cells of a row something odd goes into: half the time those where nearly all is taken."""
    free = [place for place, column in enumerate(columns) if column in ("note", "pulled_at", "grind", "fault")]
    among = free if draw(st.booleans()) else [*range(len(columns))]
    return draw(st.lists(st.sampled_from(among), max_size=2)) if among else []


@st.composite
def _table(draw: st.DrawFn) -> str:
    """A spreadsheet whose cells are mostly sound."""
    columns = [*COLUMNS]
    if draw(st.integers(0, 9)) == 0:
        columns = draw(st.lists(st.sampled_from([*COLUMNS, "Grind ", "", "pressure", "note"]), max_size=12))
    elif draw(st.booleans()):
        columns = draw(st.permutations(COLUMNS))
    bad_cell = {"note": FILEABLE, "fault": st.sampled_from([*FAULTS, "Burnt"]) | FILEABLE, "pulled_at": MOMENTS}
    rows = []
    for _ in range(draw(st.sampled_from([1, 1, 2, 3, 0]))):
        row = [_SOUND.get(column.strip().lower(), "") for column in columns]
        for place in draw(_places(columns)):
            row[place] = draw(bad_cell.get(columns[place], NUMBERS))
        rows.append(row + draw(st.sampled_from([*[[]] * 8, [""], ["5"]])))
    text = io.StringIO(newline="")
    writer = csv.writer(
        text,
        delimiter=draw(st.sampled_from(",;\t")),
        lineterminator=draw(st.sampled_from(["\n", "\r\n", "\r"])),
        quoting=draw(st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL])),
    )
    writer.writerows([columns, *rows])
    return text.getvalue()


@st.composite
def _spoilt(draw: st.DrawFn, texts: st.SearchStrategy[str]) -> str:
    """A text with a piece taken out, doubled or put in."""
    text = draw(texts)
    start = draw(st.integers(0, len(text)))
    end = draw(st.integers(start, min(start + 20, len(text))))
    instead = draw(st.sampled_from(["", text[start:end] * 2, '"', "\x00", "\ufeff"]) | FILEABLE)
    return text[:start] + instead + text[end:]


TABLES = st.one_of(_table(), _table(), _table(), _spoilt(_table()), FILEABLE)
"""Text of a spreadsheet file, sound or not."""

_HUGE = st.sampled_from([10**400, -(10**400), 2**63, 2**64])
TREES = st.recursive(
    st.none() | st.booleans() | st.integers() | _HUGE | st.floats() | ANYTHING,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=8,
)
_PAST = SHOTS.map(
    lambda shot: shot if shot.pulled_at is None or shot.pulled_at.year < 2020 else replace(shot, pulled_at=None)
)


def sound_case(shots: list[Shot], pairing: Pairing = PAIRING) -> dict[str, Any]:
    """The plain values of a pairing with these shots, through JSON and back."""
    told: dict[str, Any] = json.loads(json.dumps(case_values(pairing, shots, notes=True)))
    return told


@st.composite
def cases(draw: st.DrawFn) -> Any:
    """Values of a pairing with its shots, some of them put in another's place, left out or added."""
    pairing = draw(st.sampled_from([PAIRING, SPANS]))
    case: Any = sound_case(draw(st.lists(_PAST, min_size=1, max_size=2)), pairing)
    for _ in range(draw(st.sampled_from([0, 1, 1, 2, 3]))):
        case = _changed(draw, case)
    return case


def _changed(draw: st.DrawFn, value: Any) -> Any:
    if isinstance(value, dict) and value and draw(st.integers(0, 9)):
        key = draw(st.sampled_from(sorted(value)))
        kind = draw(st.sampled_from(["in", "in", "in", "out", "add"]))
        if kind == "out":
            return {name: kept for name, kept in value.items() if name != key}
        if kind == "add":
            return {**value, draw(TEXTS): draw(TREES)}
        return {**value, key: _changed(draw, value[key])}
    if isinstance(value, list) and value and draw(st.integers(0, 9)):
        place = draw(st.integers(0, len(value) - 1))
        return [_changed(draw, kept) if number == place else kept for number, kept in enumerate(value)]
    return draw(TREES)


def nested(opening: str, depth: int, closing: str) -> str:
    """JSON of that depth around a 1."""
    return opening * depth + "1" + closing * depth


BOMBS = st.sampled_from([
    *(nested("[", depth, "]") for depth in (10, 300, 900, 980, 5_000, 100_000)),
    *(nested('{"a":', depth, "}") for depth in (10, 300, 900, 5_000)),
    "[" * 100_000, '{"a":' * 50_000, "9" * 400, "9" * 100_000, "1e" + "9" * 1_000,
    '"' + "\\ud800" * 5_000 + '"', '"' + "x" * 500_000 + '"',
    "{" + ",".join(f'"k{number}":1' for number in range(5_000)) + "}", "[" + "{}," * 20_000 + "{}]",
    "NaN", "-Infinity", "tru", "",
])  # fmt: skip
"""JSON that is deep, huge, of many names, or none."""


@st.composite
def shares(draw: st.DrawFn) -> str:
    """Text of a share file or a report, sound or not."""
    kind = draw(st.integers(0, 9))
    if kind == 0:
        return draw(FILEABLE | BOMBS)
    case = json.dumps(draw(cases()))
    if kind in (1, 2):
        # A bomb in the place of one value, which a reader meets only after the outer shape has turned out right.
        at = draw(st.sampled_from(["18.0", "7.5", "40.0", '"bench grinder"', '"down"', "[", "{", "2.0"]))
        case = case.replace(at, draw(BOMBS), 1)
    if kind == 3:
        case = case.replace('"ratio": 2.0', '"ratio": 2.0, "ratio": "two", "shots": []')
    if draw(st.booleans()):
        return f'<html><script type="application/json" id="data">{case}</script></html>'
    head = {"format": FORMAT, "schema": 1}
    if draw(st.integers(0, 4)) == 0:
        head = _changed(draw, head)
    text = json.dumps({**head, "case": "HERE"} if isinstance(head, dict) else head).replace('"HERE"', case)
    return draw(_spoilt(st.just(text))) if draw(st.integers(0, 5)) == 0 else text
