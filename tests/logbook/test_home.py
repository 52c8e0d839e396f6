from __future__ import annotations

from pathlib import Path

import platformdirs

from dialopt.logbook.home import home_folder


def test_the_folder_that_was_named_wins() -> None:
    assert home_folder(Path("here"), {"DIALOPT_HOME": "there"}) == Path("here")


def test_then_the_environment() -> None:
    assert home_folder(None, {"DIALOPT_HOME": " there "}) == Path("there")
    assert home_folder(None, {"DIALOPT_HOME": "~/coffee"}) == Path.home() / "coffee"


def test_then_the_platforms_own_folder() -> None:
    usual = Path(platformdirs.user_data_dir("dialopt", appauthor=False))
    assert home_folder(None, {}) == usual
    assert home_folder(None, {"DIALOPT_HOME": "  "}) == usual
