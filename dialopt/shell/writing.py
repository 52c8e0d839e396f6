"""Where a file may be written, and the report written there."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from dialopt.engine.advice import Advice
from dialopt.errors import Refused
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import Evidence
from dialopt.logbook.whole_file import refuse_nowhere, refuse_taken, stands
from dialopt.report.template import is_page
from dialopt.shell.progress import working


def check_place(out: Path, *, example: str = "dialopt-report.html", replace: bool = False) -> None:
    """Raises Refused for a path where no file can be, or one that may not be replaced, before any work is done for it.

    example: a file's name.
    """
    try:
        refuse_taken(out, replace=replace, example=example)
    except Refused as error:
        if stands(out) and not replace:
            error.add_note("`--replace` replaces it.")
        raise
    refuse_nowhere(out)


def check_page(out: Path, *, replace: bool) -> None:
    """The same for a page, which takes the place of an earlier page unasked."""
    check_place(out, replace=replace or is_page(out))


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
            log=evidence.case.log,
            advice=advice,
            earlier=evidence.earlier,
            burrs=burrs,
            now=now,
            notes=notes,
            progress=lambda done, of: tell(f"shot {done} of {of}"),
        )
