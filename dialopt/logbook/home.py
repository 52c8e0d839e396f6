"""Where the logbook lives."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

VARIABLE = "DIALOPT_HOME"


def home_folder(given: Path | None, environ: Mapping[str, str]) -> Path:
    """The folder named on the command line, else the one in DIALOPT_HOME, else the platform's user data folder."""
    if given is not None:
        return given.expanduser()
    if environ.get(VARIABLE, "").strip():
        return Path(environ[VARIABLE].strip()).expanduser()
    # Asked last, and imported only then: most scripts and all tests name a folder.
    from platformdirs import user_data_path

    return user_data_path("dialopt", appauthor=False)
