from __future__ import annotations

from itertools import pairwise

import pytest

from dialopt.report.side_by_side import compose
from dialopt.trade.dial import Dial
from tests.browser import DESK, IN_A_BROWSER, PHONE
from tests.report.conftest import bag, on, pages_printed

pytestmark = IN_A_BROWSER

CONTRAST = """
// axe-core leaves the inside of a picture alone.
const seen = (colour) => colour.match(/[0-9.]+/g).map(Number);
const light = ([r, g, b]) => [r, g, b].map((v) => v / 255)
  .map((v) => (v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
  .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
const behind = (element) => {
  for (let at = element; at; at = at.parentElement) {
    const [r, g, b, a = 1] = seen(getComputedStyle(at).backgroundColor);
    if (a > 0.99) return [r, g, b];
  }
  return [255, 255, 255];
};
const ratio = (element, colour) => {
  const [high, low] = [light(seen(colour)), light(behind(element))].sort((a, b) => b - a);
  return (high + 0.05) / (low + 0.05);
};
const written = [...document.querySelectorAll("svg text")]
  .map((element) => ratio(element, getComputedStyle(element).fill));
const lines = [...document.querySelectorAll("svg .curve, svg .possible")]
  .map((element) => ratio(element, getComputedStyle(element).stroke));
const dots = [...document.querySelectorAll("svg .dot")].map((element) => [getComputedStyle(element), element])
  .map(([style, element]) => Math.max(ratio(element, style.stroke), ratio(element, style.fill)));
return [written, [...lines, ...dots]].map((ratios) => Math.min(...ratios));
"""


@pytest.fixture
def page(tmp_path, a_pairing, lined, now, hostile):
    plain = a_pairing()
    pairings = [
        plain,
        on(plain, burrs="set 2"),
        bag(on(plain, burrs="set 2"), hostile),
        bag(plain, "x" * 200),
        on(plain, name="hand", grind=Dial(0, 300, 0.5), finer="up"),
        on(plain, name="fixed", grind=Dial(18, 18)),
        bag(plain, "豆" * 60),
        bag(plain, "Quay Dusk"),
    ]
    path = tmp_path / "page.html"
    shown = lined(*pairings, tasted=[True] * 7 + [False])
    path.write_text(compose(shown, now=now), encoding="utf-8")
    return path


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [PHONE, DESK])
def test_eight_fit_without_a_complaint_or_a_request_and_can_be_read(browser, page, width, scheme):
    browser.show(page, width=width, scheme=scheme)
    assert browser.run("return document.querySelectorAll('svg.chart').length") == 7
    assert browser.sideways() <= 0
    assert browser.run("return document.querySelectorAll('img, script').length") == 0
    assert browser.run(
        "return [...document.querySelectorAll('svg')].every((svg) => svg.getBoundingClientRect().width > 290)"
    )
    written, lines = browser.run(CONTRAST)
    assert written >= 4.5
    assert lines >= 3
    assert browser.driver.get_log("browser") == []
    assert browser.requests() == [page.as_uri()]
    assert browser.barriers() == []


def test_letters_at_the_ends_of_lines_stay_inside_and_apart(browser, page):
    browser.show(page, width=PHONE)
    boxes = browser.run(
        "return [...document.querySelectorAll('#title-learning + svg .letter')].map((letter) => {"
        " const box = letter.getBoundingClientRect(); return [box.top, box.right]; })"
    )
    assert len(boxes) == 7
    tops = sorted(top for top, _ in boxes)
    assert all(lower - upper > 8 for upper, lower in pairwise(tops))
    assert all(right <= PHONE for _, right in boxes)


def test_which_did_best_is_on_a_phone_s_first_screen(browser, page):
    browser.show(page, width=PHONE)
    assert browser.run("return document.querySelector('.sure').getBoundingClientRect().bottom < 740")


def test_the_print_is_light_and_whole_whatever_the_screen(browser, page):
    browser.show(page, scheme="dark")
    browser.cdp(
        "Emulation.setEmulatedMedia", media="print", features=[{"name": "prefers-color-scheme", "value": "dark"}]
    )
    try:
        assert browser.run("return getComputedStyle(document.querySelector('.panel')).backgroundColor") == (
            "rgb(255, 255, 255)"
        )
        assert browser.run("return getComputedStyle(document.querySelector('svg')).display") == "block"
        printed = pages_printed(browser)
    finally:
        browser.cdp("Emulation.setEmulatedMedia", media="")
    assert 2 <= printed <= 6
    assert browser.driver.get_log("browser") == []
