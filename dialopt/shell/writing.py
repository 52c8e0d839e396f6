"""Writes the report where it was asked for, or says why it can't be."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from dialopt.decisions.advice import Advice
from dialopt.logbook.book import Logbook
from dialopt.logbook.kept import Evidence
from dialopt.logbook.whole_file import refuse_nowhere, refuse_taken
from dialopt.shell.progress import working


def check_place(out: Path) -> None:
    """Raises Refused for a path where no file can be, before any work is done for it."""
    refuse_taken(out, replace=True, example="dialopt-report.html")
    refuse_nowhere(out)


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
