from __future__ import annotations

import math
import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt.report.figures.charts import FOOT, TOP, Axis, Line, line_chart, shortened, spread
from dialopt.report.figures.pairings import interval_figures, learning_figures, shot_time_figures
from dialopt.report.figures.svg import LETTERS, Canvas, Scale, ticks
from dialopt.trade.dial import Dial
from tests.report.conftest import bag, on


@given(st.floats(-500, 500), st.floats(1e-3, 1000), st.integers(2, 9))
def test_ticks_are_round_few_and_inside(low, width, most):
    found = ticks(low, low + width, most)
    assert len(found) <= most + 1
    assert all(low - 1e-6 <= tick <= low + width + 1e-6 for tick in found)
    assert list(found) == sorted(set(found))


def test_scales_run_straight_or_by_ratios_and_stop_at_their_ends():
    plain = Scale(low=2, high=6, start=100, end=0)
    assert [plain(value) for value in (2, 4, 6, 9)] == pytest.approx([100, 50, 0, 0])
    ratios = Scale(low=10, high=90, start=0, end=2, log=True)
    assert [ratios(value) for value in (10, 30, 90)] == pytest.approx([0, 1, 2])


@given(st.lists(st.floats(TOP, FOOT), max_size=8))
def test_labels_keep_apart_inside_the_picture_and_in_their_order(heights):
    placed = spread(heights)
    order = sorted(placed)
    assert all(lower - upper >= 12 - 1e-9 for upper, lower in pairwise(order))
    assert all(TOP - 1e-9 <= height <= FOOT + 1e-9 for height in placed)
    for one, other in zip(heights, placed, strict=True):
        assert all((one < mine) <= (other < its) for mine, its in zip(heights, placed, strict=True))
    if all(abs(one - other) >= 12 for number, one in enumerate(heights) for other in heights[:number]):
        assert placed == pytest.approx(heights)


def test_what_is_written_is_escaped_and_every_pairing_has_its_own_mark(hostile):
    canvas = Canvas(100)
    canvas.text((1, 2), hostile)
    for number in range(len(LETTERS)):
        canvas.mark(number, (50, 50), f"dot-{number}")
    tree = ElementTree.fromstring(canvas.drawn(hostile))
    assert tree.attrib["aria-label"] == hostile
    assert [part.tag for part in tree] == ["text", "circle", *["polygon"] * 7]
    assert tree[0].text == hostile
    assert len({part.attrib.get("points") for part in tree[1:]}) == len(LETTERS)


def test_lines_are_told_apart_by_letter_dash_and_mark():
    axis = Axis(title="x", ticks=[(0, "0")], low=0, high=1)
    lines = [Line(number=number, points=[(0, 0), (1, 0.5)], marks=[(1, 0.5)]) for number in range(8)]
    tree = ElementTree.fromstring(line_chart(lines, x=axis, y=axis, alt="eight"))
    written = [part.text for part in tree.iter("text")]
    assert [letter for letter in written if letter in LETTERS] == list(LETTERS)
    kinds = [part.attrib["class"] for part in tree.iter("polyline") if "curve" in part.attrib["class"]]
    assert len(set(kinds)) == 8
    tops = [float(part.attrib["y"]) for part in tree.iter("text") if part.text in LETTERS]
    assert len({round(top) for top in tops}) == 8


def test_long_labels_are_cut():
    assert len(shortened("x" * 99)) == 54
    assert shortened("short") == "short"


def test_intervals_show_what_the_draws_say(lined, a_pairing):
    shown = lined(a_pairing(), a_pairing("Pier Mist"))
    pictures = {picture.name: picture for picture in interval_figures(shown)}
    assert list(pictures) == ["liking", "time", "flow", "temperature", "dose"]
    assert pictures["temperature"].table.rows[1] == ("B  Pier Mist", "93.0", "91.0 to 95.0", "91.0 to 95.0")
    assert pictures["temperature"].alt.endswith("A 93.0 (91.0 to 95.0); B 93.0 (91.0 to 95.0).")
    assert pictures["time"].table.rows[0][1] == "28"
    assert "7.9 (" in pictures["liking"].plot
    read = [picture.key for picture in pictures.values() if picture.key]
    assert len(read) == len({*read}) == 2, "what is read alike is explained once"


def test_shot_times_stand_over_settings_on_one_dial_and_over_steps_on_several(lined, a_pairing):
    plain = a_pairing()
    (shared,) = shot_time_figures(lined(plain, bag(plain, "Pier Mist"), on(plain, burrs="set 2")))
    assert "grind setting, finer to the right (lower is finer)" in shared.plot
    assert shared.table.header == ("pairing", "grind", "time, s")
    (apart,) = shot_time_figures(lined(plain, on(plain, name="hand", grind=Dial(0, 60, 1))))
    assert "steps finer than the setting that runs in 25 s" in apart.plot
    assert "A 28 s at grind 18" in apart.alt
    rows = [row for row in apart.table.rows if row[0].startswith("B")]
    assert len(rows) >= 9
    for _, _, steps, time_s in rows:
        assert float(time_s) == pytest.approx(25 * math.exp(float(steps.replace("−", "-")) / 20), abs=0.6)
    assert shot_time_figures(lined(on(plain, grind=Dial(18, 18)), on(plain, grind=Dial(17, 17)))) == ()


@pytest.mark.parametrize(
    ("dial", "finer", "written"),
    [
        (Dial(0, 0.8, 0.1), "down", ["0.8", "0.6", "0.4", "0.2", "0"]),
        (Dial(-5, 5, 1), "down", ["4", "2", "0", "−2", "−4"]),
        (Dial(-5, 5, 1), "up", ["−4", "−2", "0", "2", "4"]),
    ],
)
def test_a_shared_dial_is_written_as_it_stands_on_the_grinder(lined, a_pairing, dial, finer, written):
    plain = on(a_pairing(), grind=dial, finer=finer)
    (picture,) = shot_time_figures(lined(plain, bag(plain, "Pier Mist")))
    ticks = [part for part in ElementTree.fromstring(picture.plot).iter("text") if part.get("class") == "tick middle"]
    assert [tick.text for tick in ticks[:-1]] == written
    places = [float(tick.attrib["x"]) for tick in ticks[:-1]]
    assert places == sorted(places)
    assert max(places) - min(places) > 200


def test_learning_starts_before_the_first_shot_and_ends_with_what_is_known_now(lined, a_pairing):
    (picture,) = learning_figures(lined(a_pairing(), a_pairing("Pier Mist"), tasted=[True, False]))
    assert picture.table.rows[0] == ("A  Harbour Fog", "0", "30 %")
    assert picture.table.rows[-1] == ("A  Harbour Fog", "5", "83 %")
    assert picture.alt.endswith("A from 30 % after 0 to 83 % after 5.")
    assert re.findall(r">([A-H])</text>", picture.plot) == ["A"]
