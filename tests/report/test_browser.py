from __future__ import annotations

import time
from dataclasses import replace

import pytest

from tests.browser import DESK, IN_A_BROWSER, PHONE
from tests.report.conftest import pages_printed

pytestmark = IN_A_BROWSER
FIGURES = 9


@pytest.fixture
def a_report(tmp_path, a_page, a_pairing, log, looks):
    def build(log=log, looks=looks, **about):
        pairing, path = a_pairing(**about), tmp_path / "report.html"
        page = a_page(pairing, log=log, looks=looks, earlier=[(pairing, list(log.values()))], notes=True)
        path.write_text(page, encoding="utf-8")
        return path

    return build


@pytest.fixture
def report(a_report, hostile):
    return a_report(bean=f"Harbour Fog {hostile}", origin="x" * 150)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [PHONE, DESK])
def test_it_draws_everything_without_a_complaint_or_a_request_and_keeps_nobody_out(browser, report, width, scheme):
    browser.show(report, width=width, scheme=scheme)
    assert browser.run("return document.documentElement.dataset.drawn") == str(FIGURES)
    assert browser.run("return document.querySelectorAll('.drawing svg.main-svg').length") >= FIGURES
    assert browser.sideways() <= 0
    assert browser.run("return document.querySelectorAll('img').length") == 0
    assert browser.driver.get_log("browser") == []
    assert browser.requests() == [report.as_uri()]
    assert browser.barriers() == []


def test_the_recipe_and_the_next_shot_are_on_a_phone_s_first_screen(browser, report):
    browser.show(report, width=PHONE)
    for place in (".card", ".sure", "#next", "#next + p", "#fresh"):
        assert browser.run(f"return document.querySelector('{place}').getBoundingClientRect().bottom < 740"), place


def test_the_figures_follow_the_scheme(browser, report):
    browser.show(report)
    ink = "return getComputedStyle(document.querySelector('#drawing-shot-time .xtitle')).fill"
    light = browser.run(ink)
    browser.scheme("dark")
    time.sleep(0.5)
    assert browser.run(ink) != light
    assert browser.run(ink) == browser.run("return getComputedStyle(document.body).color")


def test_the_slider_redraws_the_map(browser, report):
    browser.show(report)
    drawing = "document.getElementById('drawing-map-grind-temperature')"
    shown = f"return [JSON.stringify({drawing}.data[0].z), {drawing}.getAttribute('aria-describedby')]"
    slide = (
        "const slider = document.getElementById('input-map-grind-temperature');"
        "slider.value = arguments[0] ?? slider.defaultValue; slider.dispatchEvent(new Event('input'));"
    )
    before = browser.run(shown)
    browser.run(slide, "0")
    assert browser.run("return document.querySelector('#slider-map-grind-temperature output').textContent") == "17 g"
    moved, described = browser.run(shown)
    assert moved != before[0]
    assert described is None
    browser.run(slide)
    assert browser.run(shown) == before == [before[0], "alt-map-grind-temperature"]
    assert browser.driver.get_log("browser") == []


def test_the_print_is_short_and_holds_the_figures(browser, report):
    browser.show(report, scheme="dark")
    assert pages_printed(browser) == 2
    assert browser.run("return document.documentElement.classList.contains('paper')") is False
    assert browser.driver.get_log("browser") == []


def test_it_reads_without_scripts(browser, report):
    browser.show(report, scripts=False)
    try:
        page = browser.driver.page_source
        assert "<noscript>" in page
        assert page.count("<details>") == FIGURES
        shown = "document.getElementById('drawing-shot-time').checkVisibility()"
        assert browser.cdp("Runtime.evaluate", expression=shown)["result"]["value"] is False
    finally:
        browser.cdp("Emulation.setScriptExecutionDisabled", value=False)


def test_what_cannot_be_drawn_leaves_no_empty_places(browser, report):
    report.write_text(report.read_text(encoding="utf-8").replace('id="plotting">', 'id="plotting">~'), encoding="utf-8")
    browser.show(report)
    assert browser.run("return document.documentElement.dataset.drawn") == "0"
    assert browser.run("return document.getElementById('undrawn').checkVisibility()")
    assert browser.run("return [...document.querySelectorAll('.drawing')].some((e) => e.checkVisibility())") is False
    assert browser.run("return document.querySelectorAll('figure details[open]').length") == FIGURES


def test_it_is_drawn_within_two_seconds(browser, report):
    """Of the page's own processor time, so that it doesn't matter what else runs; the first page opens cold."""
    browser.cdp("Performance.enable", timeDomain="threadTicks")
    took_s = []
    for _ in range(2):
        browser.show(report)
        metrics = browser.cdp("Performance.getMetrics")["metrics"]
        took_s.append(next(metric["value"] for metric in metrics if metric["name"] == "ThreadTime"))
    browser.cdp("Performance.disable")
    assert 0 < min(took_s) < 2


def test_axe_finds_what_is_wrong(browser, tmp_path):
    path = tmp_path / "wrong.html"
    path.write_text("<!DOCTYPE html><title>x</title><p style='color:#ccc'>pale</p><img src='data:,'>", encoding="utf-8")
    browser.show(path)
    found = " ".join(browser.barriers())
    assert "color-contrast" in found
    assert "image-alt" in found


@pytest.mark.parametrize(
    "odd",
    [
        "</script><img src=x onerror=alert(1)>",
        "قهوة الصباح ‮ reversed",
        "☕🫘👩‍🚀" * 20,
        "x" * 400,
        "{{ 7 * 7 }} ${1} <!-- &lt; ]]> --><b>",
    ],
)
def test_odd_names_break_nothing(browser, a_report, shots, odd):
    noted = [*shots, replace(shots[0], note=odd), replace(shots[0], note=(odd * 10_000)[:10_000])]
    path = a_report(dict(enumerate(noted, 1)), bean=odd[:100], roaster=odd[:100], origin=odd[:100], process=odd[:100])
    browser.show(path, width=PHONE)
    assert browser.sideways() <= 0
    assert browser.run("return document.documentElement.dataset.drawn") == str(FIGURES)
    assert browser.run("return document.querySelectorAll('img, main b:not(.still b)').length") == 0
    assert odd[:100].strip() in browser.run("return document.querySelector('h1').textContent")
    assert browser.run("return document.querySelector('main').innerText.length") < 14_000
    assert browser.driver.get_log("browser") == []
    assert browser.requests() == [path.as_uri()]


def test_a_whole_bag_with_remarks_prints_on_two_pages(browser, a_report, shots, looks):
    many = [*shots, *shots, *shots][:13]
    seen = [replace(looks[number % 5], number=number + 1, shot=shot) for number, shot in enumerate(many)]
    browser.show(a_report(dict(enumerate(many, 1)), seen, roast="light"))
    assert pages_printed(browser) == 2
