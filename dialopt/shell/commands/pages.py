"""report, side-by-side, demo: what is written as a page."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from dataclasses import replace as changed
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Annotated, Any

from dialopt.demo import scenario
from dialopt.errors import NotFound, Refused, WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.others import related
from dialopt.logbook.records import SHOWN, Evidence, PairingRecord
from dialopt.logbook.spreadsheet import import_csv
from dialopt.logbook.whole_file import stands
from dialopt.shell.change import change_lines, change_to
from dialopt.shell.context import SEED, Context, noted
from dialopt.shell.in_use import burr_set, current
from dialopt.shell.options import Notes, Replace, Seed, argument, option
from dialopt.shell.parsers import check_page
from dialopt.shell.render import Answer, advice_data, answered, recipe_data, working
from dialopt.text import advice as words
from dialopt.text.usage import DRAWING, LOOKING_BACK, far

if TYPE_CHECKING:
    from dialopt.engine.advice import Advice
    from dialopt.engine.independent import Ranked
    from dialopt.report.sides import Shown

MOST = 8
"""Pairings on one page."""
_KEYS = (
    "Numbers or beans of `dialopt pairings`, at most 8. One alone is put beside the pairing in use; none stands for "
    "all with shots that share its bean or its grinder."
)


def report(
    context: Context,
    *,
    out: Annotated[Path, option("FILE", "Where to write it.")] = Path("dialopt-report.html"),
    notes: Notes = False,
    replace: Replace = False,
    seed: Seed = SEED,
) -> Answer:
    """Write a report as one HTML file.

    It takes the place of an earlier page of dialopt, of any other file only with --replace.
    """
    check_page(out, replace=replace)
    stood = stands(out)
    with context.book() as book:
        record = current(book)
        evidence, advice = context.advised(book, record.id, seed=seed, shown=SHOWN)
        _write_report(context, out, book, evidence, advice, notes=notes)
        data = advice_data(record, advice, book.last_pull(record.id))
        return answered(words.report_said(advice, out, stood=stood), file=out.absolute(), **data)


def side_by_side(
    context: Context,
    *,
    keys: Annotated[list[str] | None, argument("[KEY]...", _KEYS)] = None,
    out: Annotated[Path, option("FILE", "Where to write it.")] = Path("dialopt-side-by-side.html"),
    replace: Replace = False,
    seed: Seed = SEED,
) -> Answer:
    """Write several pairings on one page: bags, grinders, before and after new burrs."""
    check_page(out, replace=replace)
    with context.book() as book:
        shown = _write_side_by_side(context, out, book, _chosen(book, keys or []), seed=seed)
        from dialopt.report.sides import ranked

        ranking = ranked(shown)
        sides = [words.side_line(it.number, it.side.pairing_id, it.label, it.free) for it in shown]
        tasters = len({one.pairing.taster for one in shown})
        said = words.side_by_side_said(sides, ranking, out, tasters=tasters)
        return answered(said, file=out.absolute(), pairings=_side_data(shown, ranking))


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
            raise Refused(words.ONE_FILE)
        _demo_side_by_side(context, beside)
    with _at(context, scenario.LOOKED_AT) as there, there.book() as book, scenario.shots_file() as file:
        book.make_current(book.save_pairing(scenario.pairing()))
        record = book.current()
        import_csv(book, record.id, file)
        evidence, advice = there.advised(book, record.id)
        _write_report(there, out, book, evidence, advice, notes=True)
        last = book.last_pull(record.id)
        change = change_lines(change_to(advice.pairing, advice.next_recipe, last))
        return answered(
            words.demo_said(advice, evidence.shots, change, out, beside),
            file=out.absolute(),
            side_by_side=beside and beside.absolute(),
            invented=True,
            shots_imported=len(evidence.shots),
            **advice_data(book.current(), advice, last),
        )


def _write_report(
    context: Context, out: Path, book: Logbook, evidence: Evidence, advice: Advice, *, notes: bool
) -> None:
    """Writes the report, whole or not at all. Raises Refused where it can't be written."""
    with working(DRAWING) as tell:
        from dialopt.report.page import write_report

        write_report(
            out,
            pairing=evidence.pairing,
            log=evidence.case.log,
            advice=advice,
            earlier=evidence.earlier,
            burrs=burr_set(book, evidence.pairing),
            now=context.now(),
            notes=notes,
            progress=lambda done, of: tell(far(done, of)),
        )


def _write_side_by_side(
    context: Context, out: Path, book: Logbook, chosen: list[PairingRecord], *, seed: int = SEED
) -> tuple[Shown, ...]:
    """Writes the pairings, each looked back on shot by shot, and returns what is shown of them."""
    advised = [(*context.advised(book, record.id, seed=seed), burr_set(book, record.pairing)) for record in chosen]
    with working(LOOKING_BACK) as tell:
        from dialopt.report.side_by_side import write_side_by_side
        from dialopt.report.sides import Side, line_up

        sides = [
            Side(shots=it.shots, advice=advice, earlier=it.earlier, burrs=burrs, pairing_id=it.case.pairing_id)
            for it, advice, burrs in advised
        ]
        shown = line_up(sides, progress=lambda done, of: tell(far(done, of)))
    write_side_by_side(out, shown, now=context.now())
    return shown


def _chosen(book: Logbook, keys: list[str]) -> list[PairingRecord]:
    """The pairings that were asked for, else all that have to do with the one in use, the oldest first."""
    if not keys:
        here = current(book)
        if not (others := related(here, book.pairings())):
            raise noted(NotFound(words.alone(here)), words.NAME_THEM)
        return sorted([here, *others[: MOST - 1]], key=lambda record: record.id)
    found = [book.pairing(key) for key in keys]
    if len(found) == 1:
        found.insert(0, current(book))
    if len({record.id for record in found}) < len(found):
        raise WrongUse(words.TWICE)
    if len(found) > MOST:
        raise WrongUse(words.too_many(len(found), MOST))
    return found


def _side_data(shown: tuple[Shown, ...], ranking: Ranked) -> list[dict[str, Any]]:
    chances = {place.number: place.chance for place in ranking.places}
    return [
        {
            "letter": one.letter,
            "id": one.side.pairing_id,
            "title": one.pairing.title,
            "label": one.label,
            "shots": len(one.shots),
            "tasted": one.side.tasted,
            "sweet_spot": recipe_data(one.pairing, one.advice.sweet_spot.recipe),
            "grinder_independent": asdict(one.free),
            "prob_near_optimal": float(one.advice.sweet_spot.prob_near_optimal),
            "chance_best": chances.get(one.number),
            "settled": bool(one.advice.settled),
        }
        for one in shown
    ]


@contextmanager
def _at(context: Context, moment: datetime) -> Iterator[Context]:
    """A home of its own that is gone afterwards, at that moment."""
    with TemporaryDirectory(prefix="dialopt-demo-") as folder:
        yield changed(context, home=Path(folder), now=lambda: moment)


def _demo_side_by_side(context: Context, out: Path) -> None:
    """Writes the page of all the invented pairings, from a logbook of their own."""
    with _at(context, scenario.LOOKED_AT_ALL) as there, there.book() as book:
        numbers = []
        for name, pairing in scenario.pairings().items():
            book.save_grinder(pairing.grinder)
            numbers.append(book.save_pairing(pairing))
            with scenario.shots_file(name) as file:
                import_csv(book, numbers[-1], file)
        _write_side_by_side(there, out, book, [book.pairing(number) for number in numbers])
