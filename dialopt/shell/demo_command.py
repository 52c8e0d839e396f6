"""demo: the whole job on an invented bag, in a logbook of its own that is gone afterwards."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated

import typer

from dialopt.demo import scenario
from dialopt.errors import Refused
from dialopt.logbook.book import Logbook
from dialopt.logbook.csv_in import import_csv
from dialopt.shell.advising import advised
from dialopt.shell.answer import Answer
from dialopt.shell.bench import change_lines, change_to
from dialopt.shell.data import advice_data
from dialopt.shell.desk import Desk
from dialopt.shell.register import command
from dialopt.shell.setting_up import GRINDER
from dialopt.shell.side_by_side_command import lined_up
from dialopt.shell.writing import check_page, written_report
from dialopt.text import terminal as words

INVENTED = "Bag, bench and shots are invented, the numbers simulated; your own logbook was not touched."


def register(app: typer.Typer) -> None:
    """Adds the command."""
    command(app, "demo")(demo)


def demo(
    desk: Desk,
    *,
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="Where to write the demo's report.")] = Path(
        "dialopt-demo.html"
    ),
    beside: Annotated[
        Path | None,
        typer.Option("--side-by-side", metavar="FILE", help="Also put this bag and its followers side by side there."),
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Replace the file when it is there already.")] = False,
) -> Answer:
    """Run the whole job on an invented bag.

    It sets up, imports, advises and writes a report, and leaves your own logbook alone.
    """
    check_page(out, replace=replace)
    if beside is not None:
        check_page(beside, replace=replace)
        if os.path.realpath(out) == os.path.realpath(beside):
            raise Refused("Both pages would go into one file; name two.")
        _put_side_by_side(beside)
    with (
        TemporaryDirectory(prefix="dialopt-demo-") as folder,
        Logbook.open(Path(folder), now=lambda: scenario.LOOKED_AT) as book,
        scenario.shots_file() as file,
    ):
        book.make_current(book.save_pairing(scenario.pairing()))
        kept = book.current()
        import_csv(book, kept.id, file)
        evidence, advice = advised(book, kept.id, today=scenario.LOOKED_AT.date())
        written_report(out, book, evidence, advice, now=scenario.LOOKED_AT, notes=True)
        last = book.last_pull(kept.id)
        best = max((shot for shot in evidence.shots if shot.tasted), key=lambda shot: shot.score or 0.0)
        return Answer(
            did=f"Ran the demo and wrote its report to {out}"
            + (f", and four pairings side by side to {beside}." if beside else "."),
            lines=(
                INVENTED,
                f"{len(evidence.shots)} shots of {kept.pairing.title} were imported; the one liked best so far:",
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


def _put_side_by_side(out: Path) -> None:
    """Writes the page of all the invented pairings, from a logbook of their own."""
    with (
        TemporaryDirectory(prefix="dialopt-demo-") as folder,
        Logbook.open(Path(folder), now=lambda: scenario.LOOKED_AT_ALL) as book,
    ):
        numbers = []
        for name, pairing in scenario.pairings().items():
            book.save_grinder(pairing.grinder)
            numbers.append(book.save_pairing(pairing))
            with scenario.shots_file(name) as file:
                import_csv(book, numbers[-1], file)
        shown = lined_up(book, [book.pairing(number) for number in numbers], today=scenario.LOOKED_AT_ALL.date())
        from dialopt.report.side_by_side import write_side_by_side

        write_side_by_side(out, shown, now=scenario.LOOKED_AT_ALL)
