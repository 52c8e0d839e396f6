"""Fingerprints of the code that is measured, so that results of other code are never taken for this one's."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path

import dialopt

Parts = Sequence[tuple[Path, Sequence[str]]]
"""Folders, and what in each is meant."""

PARTS: Parts = (
    (Path(dialopt.__file__).parent, ("trade", "model", "engine")),
    (Path(__file__).parent, ("methods", "worlds", "trial.py")),
)
"""What a trial's result depends on."""
WHOLE: Parts = ((Path(dialopt.__file__).parent, (".",)),)
"""What the commands depend on."""


def fingerprint(parts: Parts = PARTS) -> str:
    """Twelve hex digits for the sources."""
    digest = sha256()
    for home, names in parts:
        for name in names:
            found = home / name
            for path in sorted(found.rglob("*.py")) if found.is_dir() else [found]:
                digest.update(path.relative_to(home).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:12]


CODE = fingerprint()
"""That of the code that this process has loaded."""
WHOLE_CODE = fingerprint(WHOLE)
"""That of all of dialopt, for what measures the commands."""
