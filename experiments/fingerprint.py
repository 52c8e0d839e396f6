"""A fingerprint of the code that a trial runs, so that results of other code are never taken for this one's."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import dialopt

PARTS = (
    (Path(dialopt.__file__).parent, ("trade", "model", "decisions")),
    (Path(__file__).parent, ("methods", "worlds", "trial.py")),
)
"""Folders, and what in them a trial's result depends on."""


def fingerprint() -> str:
    """Twelve hex digits for the sources of `PARTS`."""
    digest = sha256()
    for home, names in PARTS:
        for name in names:
            found = home / name
            for path in sorted(found.rglob("*.py")) if found.is_dir() else [found]:
                digest.update(path.relative_to(home).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:12]


CODE = fingerprint()
"""That of the code that this process has loaded."""
