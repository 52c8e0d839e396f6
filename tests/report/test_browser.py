from __future__ import annotations

import base64
import json
import shutil
import time
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest

from dialopt.decisions.advice import Advice
from dialopt.report.hindsight import Look
from dialopt.report.page import compose
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not (CHROMIUM and DRIVER), reason="Chromium and its driver aren't installed"),
]
FIGURES = 9


@pytest.fixture
def report(
    tmp_path: Path,
    a_pairing: Callable[..., Pairing],
    an_advice: Callable[..., Advice],
    shots: list[Shot],
    looks: list[Look],
    now: datetime,
    hostile: str,
) -> Path:
    pairing = a_pairing(bean=f"Harbour Fog {hostile}", origin="x" * 150)
    page = compose(
        pairing=pairing, shots=shots, advice=an_advice(pairing), earlier=[], now=now, notes=True, looks=looks
    )
    path = tmp_path / "report.html"
    path.write_text(page, encoding="utf-8")
    return path


class Browser:
    """Chromium without a window."""

    def __init__(self) -> None:
        from selenium import webdriver
        from selenium.webdriver.chrome.options import Options
        from selenium.webdriver.chrome.service import Service

        options = Options()
        options.binary_location = str(CHROMIUM)
        for flag in ("headless=new", "no-sandbox", "disable-gpu", "no-first-run", "disable-background-networking"):
            options.add_argument(f"--{flag}")
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        self.driver = webdriver.Chrome(options=options, service=Service(str(DRIVER)))

    def show(self, path: Path, *, width: int = 1100, scheme: str = "light", scripts: bool = True) -> None:
        self.cdp("Emulation.setScriptExecutionDisabled", value=not scripts)
        self.cdp("Emulation.setDeviceMetricsOverride", width=width, height=740, deviceScaleFactor=1, mobile=width < 500)
        self.scheme(scheme)
        self.driver.get(path.as_uri())
        deadline = time.monotonic() + 30
        while scripts and self.run("return document.documentElement.dataset.drawn") is None:
            assert time.monotonic() < deadline, "the figures were not drawn in half a minute"
            time.sleep(0.05)

    def scheme(self, scheme: str) -> None:
        self.cdp("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])

    def cdp(self, command: str, **values: object) -> dict[str, str]:
        answer: dict[str, str] = self.driver.execute_cdp_cmd(command, values)
        return answer

    def run(self, script: str, *values: object) -> object:
        return self.driver.execute_script(script, *values)

    def requests(self) -> list[str]:
        events = [json.loads(entry["message"])["message"] for entry in self.driver.get_log("performance")]
        return [event["params"]["request"]["url"] for event in events if event["method"] == "Network.requestWillBeSent"]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    opened = Browser()
    yield opened
    opened.driver.quit()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1100])
def test_it_draws_everything_without_a_complaint_or_a_request(
    browser: Browser, report: Path, width: int, scheme: str
) -> None:
    browser.show(report, width=width, scheme=scheme)
    assert browser.run("return document.documentElement.dataset.drawn") == str(FIGURES)
    assert browser.run("return document.querySelectorAll('.drawing svg.main-svg').length") >= FIGURES
    assert browser.run("return document.documentElement.scrollWidth <= window.innerWidth")
    assert browser.run("return document.querySelectorAll('img').length") == 0
    assert browser.driver.get_log("browser") == []
    assert browser.requests() == [report.as_uri()]


def test_the_recipe_and_the_next_shot_are_on_a_phone_s_first_screen(browser: Browser, report: Path) -> None:
    browser.show(report, width=360)
    for name in ("spot", "next"):
        assert browser.run(f"return document.getElementById('{name}').getBoundingClientRect().bottom < 740")


def test_the_figures_follow_the_scheme(browser: Browser, report: Path) -> None:
    browser.show(report)
    ink = "return getComputedStyle(document.querySelector('#drawing-clock .xtitle')).fill"
    light = browser.run(ink)
    browser.scheme("dark")
    time.sleep(0.5)
    assert browser.run(ink) != light
    assert browser.run(ink) == browser.run("return getComputedStyle(document.body).color")


def test_the_slider_redraws_the_map(browser: Browser, report: Path) -> None:
    browser.show(report)
    first = "return JSON.stringify(document.getElementById('drawing-map-grind-temperature').data[0].z)"
    before = browser.run(first)
    browser.run(
        "const slider = document.getElementById('input-map-grind-temperature');"
        "slider.value = '0'; slider.dispatchEvent(new Event('input'));"
    )
    assert browser.run("return document.querySelector('#slider-map-grind-temperature output').textContent") == "17 g"
    assert browser.run(first) != before
    assert browser.driver.get_log("browser") == []


def test_the_print_is_short_and_holds_the_figures(browser: Browser, report: Path) -> None:
    browser.show(report, scheme="dark")
    printed = base64.b64decode(browser.cdp("Page.printToPDF", preferCSSPageSize=True)["data"])
    pages = printed.count(b"/Type /Page\n")
    assert 1 <= pages <= 2
    assert browser.run("return document.documentElement.classList.contains('paper')") is False
    assert browser.driver.get_log("browser") == []


def test_it_reads_without_scripts(browser: Browser, report: Path) -> None:
    browser.show(report, scripts=False)
    try:
        page = browser.driver.page_source
        assert "<noscript>" in page
        assert page.count("<details>") == FIGURES
    finally:
        browser.cdp("Emulation.setScriptExecutionDisabled", value=False)
