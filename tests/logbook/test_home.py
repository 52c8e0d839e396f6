from __future__ import annotations

from pathlib import Path

import platformdirs
import pytest

from dialopt.errors import WrongUse
from dialopt.logbook.file import home_folder


def test_the_folder_that_was_named_wins() -> None:
    assert home_folder(Path("here"), {"DIALOPT_HOME": "there"}) == Path("here")


def test_then_the_environment() -> None:
    assert home_folder(None, {"DIALOPT_HOME": " there "}) == Path("there")
    assert home_folder(None, {"DIALOPT_HOME": "~/coffee"}) == Path.home() / "coffee"


def test_then_the_platforms_own_folder() -> None:
    usual = Path(platformdirs.user_data_dir("dialopt", appauthor=False))
    assert home_folder(None, {}) == usual
    assert home_folder(None, {"DIALOPT_HOME": "  "}) == usual


@pytest.mark.parametrize("name", ["~nobody-of-that-name/coffee", "a\0b", "\ud800"])
def test_what_no_folder_can_be_called_is_refused_in_words(name: str) -> None:
    for given, environ in ((Path(name), {}), (None, {"DIALOPT_HOME": name})):
        with pytest.raises(
            WrongUse, match=r"can't be a folder; --home and DIALOPT_HOME take one that you may write to"
        ):
            home_folder(given, environ)
