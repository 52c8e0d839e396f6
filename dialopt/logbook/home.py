"""Where the logbook lives."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from dialopt.errors import WrongUse
from dialopt.logbook.store.words import printable

VARIABLE = "DIALOPT_HOME"


def home_folder(given: Path | None, environ: Mapping[str, str]) -> Path:
    """The folder named on the command line, else the one in DIALOPT_HOME, else the platform's user data folder.

    Raises WrongUse for a name that no folder can have.
    """
    if given is not None:
        return _expanded(given)
    if environ.get(VARIABLE, "").strip():
        return _expanded(Path(environ[VARIABLE].strip()))
    # Asked last, and imported only then: most scripts and all tests name a folder.
    from platformdirs import user_data_path

    return user_data_path("dialopt", appauthor=False)


def _expanded(folder: Path) -> Path:
    try:
        there = folder.expanduser()
        possible = b"\0" not in os.fsencode(there)
    except (RuntimeError, UnicodeEncodeError):  # ~somebody who has no home here, or half a character
        possible = False
    if not possible:
        raise WrongUse(f"{printable(folder)} can't be a folder; --home and {VARIABLE} take one that you may write to.")
    return there
