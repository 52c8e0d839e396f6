"""demo: the whole job on an invented bag, in a logbook of its own that is gone afterwards."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace as changed
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated

from dialopt.demo import scenario
from dialopt.errors import Refused
from dialopt.logbook.spreadsheet import import_csv
from dialopt.shell.change import change_lines, change_to
from dialopt.shell.commands.advice import report_written
from dialopt.shell.commands.side_by_side import lined_up
from dialopt.shell.context import Context
from dialopt.shell.data import advice_data
from dialopt.shell.in_use import GRINDER
from dialopt.shell.options import Replace, option
from dialopt.shell.parsers import check_page
from dialopt.shell.render import Answer
from dialopt.text import terminal as words

INVENTED = "Bag, bench and shots are invented, the numbers simulated; your own logbook was not touched."


def demo(
    context: Context,
    *,
    out: Annotated[Path, option("FILE", "Where to write the demo's report.")] = Path("dialopt-demo.html"),
    beside: Annotated[
        Path | None, option("FILE", "Also put this bag and its followers side by side there.", "--side-by-side")
    ] = None,
    replace: Replace = False,
) -> Answer:
    """Run the whole job on an invented bag.

    It sets up, imports, advises and writes a report, and leaves your own logbook alone.
    """
    check_page(out, replace=replace)
    if beside is not None:
        check_page(beside, replace=replace)
        if os.path.realpath(out) == os.path.realpath(beside):
            raise Refused("Both pages would go into one file; name two.")
        _put_side_by_side(context, beside)
    with _at(context, scenario.LOOKED_AT) as there, there.book() as book, scenario.shots_file() as file:
        book.make_current(book.save_pairing(scenario.pairing()))
        record = book.current()
        import_csv(book, record.id, file)
        evidence, advice = there.advised(book, record.id)
        report_written(there, out, book, evidence, advice, notes=True)
        last = book.last_pull(record.id)
        best = max((shot for shot in evidence.shots if shot.tasted), key=lambda shot: shot.score or 0.0)
        return Answer(
            did=f"Ran the demo and wrote its report to {out}"
            + (f", and four pairings side by side to {beside}." if beside else "."),
            lines=(
                INVENTED,
                f"{len(evidence.shots)} shots of {record.pairing.title} were imported; the one liked best so far:",
                f"  {words.shot_words(best)}",
                "The sweet spot as it looks now:",
                *words.sweet_spot_lines(advice),
                "What to pull next:",
                *words.pull_lines(advice, change_lines(change_to(advice.pairing, advice.next_recipe, last))),
            ),
            next_step=f"open {out} in a browser. For your own coffee: {GRINDER}",
            data={
                "file": out.absolute(),
                "side_by_side": beside and beside.absolute(),
                "invented": True,
                "shots_imported": len(evidence.shots),
                **advice_data(book.current(), advice, last),
            },
        )


@contextmanager
def _at(context: Context, moment: datetime) -> Iterator[Context]:
    """A home of its own that is gone afterwards, at that moment."""
    with TemporaryDirectory(prefix="dialopt-demo-") as folder:
        yield changed(context, home=Path(folder), now=lambda: moment)


def _put_side_by_side(context: Context, out: Path) -> None:
    """Writes the page of all the invented pairings, from a logbook of their own."""
    with _at(context, scenario.LOOKED_AT_ALL) as there, there.book() as book:
        numbers = []
        for name, pairing in scenario.pairings().items():
            book.save_grinder(pairing.grinder)
            numbers.append(book.save_pairing(pairing))
            with scenario.shots_file(name) as file:
                import_csv(book, numbers[-1], file)
        shown = lined_up(there, book, [book.pairing(number) for number in numbers])
        from dialopt.report.side_by_side import write_side_by_side

        write_side_by_side(out, shown, now=there.now())
