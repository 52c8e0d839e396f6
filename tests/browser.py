"""Chromium without a window, as the tests of pages drive it."""

from __future__ import annotations

import json
import shutil
import time
from functools import cache
from importlib.metadata import distribution
from pathlib import Path
from typing import Any

import pytest

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
IN_A_BROWSER = [
    pytest.mark.browser,
    pytest.mark.skipif(not (CHROMIUM and DRIVER), reason="Chromium and its driver aren't installed"),
]
PHONE, DESK = 360, 1100


class Browser:
    """One window, whose width and colour scheme each page may choose."""

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

    def show(self, path: Path, *, width: int = DESK, scheme: str = "light", scripts: bool = True) -> None:
        """Opens the page, forgetting what was before; waits until its figures are drawn, if a script draws any."""
        for kind in ("browser", "performance"):
            self.driver.get_log(kind)
        self.cdp("Emulation.setScriptExecutionDisabled", value=not scripts)
        self.cdp("Emulation.setDeviceMetricsOverride", width=width, height=740, deviceScaleFactor=1, mobile=width < 500)
        self.scheme(scheme)
        self.driver.get(path.as_uri())
        if not scripts or not self.run("return document.scripts.length"):
            return
        deadline = time.monotonic() + 30
        while self.run("return document.documentElement.dataset.drawn") is None:
            assert time.monotonic() < deadline, "the figures were not drawn in half a minute"
            time.sleep(0.05)

    def scheme(self, scheme: str) -> None:
        self.cdp("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])

    def cdp(self, command: str, **values: object) -> dict[str, Any]:
        answer: dict[str, Any] = self.driver.execute_cdp_cmd(command, values)
        return answer

    def run(self, script: str, *values: object) -> Any:
        return self.driver.execute_script(script, *values)

    def sideways(self) -> int:
        """How many pixels the page is wider than the window."""
        return int(self.run("return document.documentElement.scrollWidth - window.innerWidth"))

    def requests(self) -> list[str]:
        """Every address asked for since the page was opened, its own among them."""
        events = [json.loads(entry["message"])["message"] for entry in self.driver.get_log("performance")]
        return [event["params"]["request"]["url"] for event in events if event["method"] == "Network.requestWillBeSent"]

    def barriers(self) -> list[str]:
        """What axe-core finds that would keep somebody out, everything unfolded; empty when all is well."""
        self.run("document.querySelectorAll('details').forEach((part) => { part.open = true; });")
        self.run(_axe())
        found = self.driver.execute_async_script(
            "const done = arguments[arguments.length - 1];"
            "axe.run(document, { resultTypes: ['violations'] }).then((told) => done(told.violations));"
        )
        return [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found]


@cache
def _axe() -> str:
    """axe-core (MPL-2.0) out of a package that wraps it for another driver; its file is all that is wanted of it."""
    file = distribution("axe-playwright-python").locate_file("axe_playwright_python/axe.min.js")
    return Path(str(file)).read_text(encoding="utf-8")
