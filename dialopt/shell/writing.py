"""Writes the report where it was asked for, or says why it can't be."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from dialopt.decisions.advice import Advice
from dialopt.errors import Refused
from dialopt.logbook.book import Logbook
from dialopt.logbook.kept import Evidence
from dialopt.shell.progress import working


def check_place(out: Path) -> None:
    """Raises Refused for a path where no file can be, before any work is done for it."""
    if out.is_dir():
        raise Refused(f"{out} is a folder; name a file in it, such as {out / 'dialopt-report.html'}.")
    if not out.parent.is_dir():
        raise Refused(f"There is no folder {out.parent}; name a file in a folder that exists.")


def written_report(
    out: Path, book: Logbook, evidence: Evidence, advice: Advice, *, now: datetime, notes: bool = False
) -> None:
    """Writes the report, whole or not at all. Raises Refused where it can't be written."""
    grinder = evidence.pairing.grinder
    burrs = next((one for one in book.burr_sets(grinder.name) if one.burrs == grinder.burrs), None)
    with working("Drawing the report") as tell:
        from dialopt.report.page import write_report

        write_report(
            out,
            pairing=evidence.pairing,
            shots=evidence.shots,
            advice=advice,
            earlier=evidence.earlier,
            burrs=burrs,
            now=now,
            notes=notes,
            progress=lambda done, of: tell(f"shot {done} of {of}"),
        )
