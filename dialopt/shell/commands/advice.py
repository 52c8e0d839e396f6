"""next, sweet-spot, report: what the shots tell."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from dialopt.logbook.book import Logbook
from dialopt.logbook.records import SHOWN, Evidence
from dialopt.logbook.whole_file import stands
from dialopt.shell import in_use
from dialopt.shell.change import change_lines, change_to
from dialopt.shell.commands.care import caffeine_tally, past_lines
from dialopt.shell.context import SEED, Context
from dialopt.shell.data import advice_data
from dialopt.shell.options import Counts, MostMoves, Notes, Replace, Seed, option
from dialopt.shell.parsers import check_page
from dialopt.shell.render import Answer, working
from dialopt.text import terminal as words

if TYPE_CHECKING:
    from dialopt.engine.advice import Advice

LOG_IT = "pull it, then `dialopt shot --yield G --time S --score 0-10 --balance -3..3` logs it as advised."
CUP_OF_IT = "`dialopt shot --best --time S` logs a cup of it, and keeps the grind on track as the beans age"
ENJOY = f"enjoy the sweet spot; {CUP_OF_IT}; `dialopt report` writes it all up."


def next_(context: Context, *, counts: Counts = None, most_moves: MostMoves = 1, seed: Seed = SEED) -> Answer:
    """Say what to pull next, and why."""
    with context.book() as book:
        record = in_use.current(book)
        evidence, advice = context.advised(
            book, record.id, seed=seed, shown=SHOWN, counts=counts, most_moves=most_moves
        )
        last = in_use.last_pull(book, record)
        return Answer(
            did=f"What to pull next with {record.pairing.title}, after {words.count_words(record.shots)}:",
            lines=(
                *in_use.mind_lines(book, record),
                *words.advice_lines(advice, change_lines(change_to(advice.pairing, advice.next_recipe, last))),
                *in_use.carried_lines(evidence),
                *in_use.unread_lines(evidence.case),
                *past_lines(caffeine_tally(book, context.now())),
            ),
            next_step=ENJOY if advice.settled else LOG_IT,
            data={
                **advice_data(record, advice, last),
                "carried": in_use.carried_data(evidence),
                "unread": in_use.unread(evidence.case),
            },
        )


def sweet_spot(context: Context, *, seed: Seed = SEED) -> Answer:
    """Say where the best cup probably lies."""
    with context.book() as book:
        record = in_use.current(book)
        evidence, advice = context.advised(book, record.id, seed=seed, shown=["sweet_spot"])
        data = advice_data(record, advice, book.last_pull(record.id))
        of_next = {name: data.pop(name) for name in ("recipe", "change", "expected")}
        return Answer(
            did=f"The sweet spot of {record.pairing.title} as it looks after {words.count_words(record.shots)}:",
            lines=(
                *words.sweet_spot_lines(advice),
                *words.unscored_lines(evidence.shots),
                *in_use.unread_lines(evidence.case),
            ),
            next_step=ENJOY if advice.settled else f"{CUP_OF_IT}; `dialopt next` says what to pull to be surer.",
            data={
                **data,
                "recipe": data["sweet_spot"]["recipe"],
                "next": of_next,
                "unread": in_use.unread(evidence.case),
            },
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
        record = in_use.current(book)
        evidence, advice = context.advised(book, record.id, seed=seed, shown=SHOWN)
        report_written(context, out, book, evidence, advice, notes=notes)
        return Answer(
            did=f"Wrote the report on {record.pairing.title} to {out}{', in the place of what was there' * stood}.",
            lines=(f"  {words.sureness_words(advice)}",),
            next_step="open it in a browser; it needs no network.",
            data={"file": out.absolute(), **advice_data(record, advice, book.last_pull(record.id))},
        )


def report_written(
    context: Context, out: Path, book: Logbook, evidence: Evidence, advice: Advice, *, notes: bool
) -> None:
    """Writes the report, whole or not at all. Raises Refused where it can't be written."""
    with working("Drawing the report") as tell:
        from dialopt.report.page import write_report

        write_report(
            out,
            pairing=evidence.pairing,
            log=evidence.case.log,
            advice=advice,
            earlier=evidence.earlier,
            burrs=in_use.burr_set(book, evidence.pairing),
            now=context.now(),
            notes=notes,
            progress=lambda done, of: tell(f"shot {done} of {of}"),
        )
