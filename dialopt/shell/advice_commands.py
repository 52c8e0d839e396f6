"""next, sweet-spot, report: what the shots tell."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from dialopt.logbook.records import SHOWN
from dialopt.logbook.whole_file import stands
from dialopt.shell import options, words
from dialopt.shell.advising import SEED, advised
from dialopt.shell.answer import Answer
from dialopt.shell.caffeine_tally import caffeine_tally, past_lines
from dialopt.shell.carrying import kept_data, kept_lines
from dialopt.shell.closed_burrs import closed_burrs_lines
from dialopt.shell.data import Data, advice_data
from dialopt.shell.desk import Desk
from dialopt.shell.others_kit import others_kit_lines
from dialopt.shell.register import command
from dialopt.shell.setting_up import current
from dialopt.shell.unread import unread, unread_lines
from dialopt.shell.writing import check_page, written_report

LOG_IT = "pull it, then `dialopt shot --yield G --time S --score 0-10 --balance -3..3` logs it as advised."
CUP_OF_IT = "`dialopt shot --best --time S` logs a cup of it, and keeps the grind on track as the beans age"
ENJOY = f"enjoy the sweet spot; {CUP_OF_IT}; `dialopt report` writes it all up."


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    command(app, "next")(next_)
    command(app, "sweet-spot")(sweet_spot)
    command(app, "report")(report)


def next_(
    desk: Desk, *, counts: options.Counts = None, most_moves: options.MostMoves = 1, seed: options.Seed = SEED
) -> Answer:
    """Say what to pull next, and why."""
    with desk.book() as book:
        kept = current(book)
        evidence, advice = advised(
            book, kept.id, today=desk.now().date(), seed=seed, shown=SHOWN, counts=counts, most_moves=most_moves
        )
        closed = closed_burrs_lines(book, kept)
        # What went through burrs that are out of the grinder says nothing of how it stands.
        last = None if closed else book.last_pull(kept.id)
        return Answer(
            did=f"What to pull next with {kept.pairing.title}, after {words.count_words(kept.shots)}:",
            lines=(
                *others_kit_lines(kept),
                *closed,
                *words.advice_lines(advice, last),
                *kept_lines(evidence),
                *unread_lines(evidence.case),
                *past_lines(caffeine_tally(book, desk.now())),
            ),
            next_step=ENJOY if advice.settled else LOG_IT,
            data={
                **advice_data(kept, advice, last),
                "carried": kept_data(evidence),
                "unread": unread(evidence.case),
            },
        )


def sweet_spot(desk: Desk, *, seed: options.Seed = SEED) -> Answer:
    """Say where the best cup probably lies."""
    with desk.book() as book:
        kept = current(book)
        evidence, advice = advised(book, kept.id, today=desk.now().date(), seed=seed, shown=["sweet_spot"])
        last = book.last_pull(kept.id)
        return Answer(
            did=f"The sweet spot of {kept.pairing.title} as it looks after {words.count_words(kept.shots)}:",
            lines=(
                *words.sweet_spot_lines(advice),
                *words.unscored_lines(evidence.shots),
                *unread_lines(evidence.case),
            ),
            next_step=ENJOY if advice.settled else f"{CUP_OF_IT}; `dialopt next` says what to pull to be surer.",
            data={**_sweet_spot_first(advice_data(kept, advice, last)), "unread": unread(evidence.case)},
        )


def _sweet_spot_first(told: Data) -> Data:
    """The same with the sweet spot's recipe as `recipe`, and what is asked for next under `next`."""
    of_next = {name: told[name] for name in ("recipe", "change", "expected")}
    rest = {name: value for name, value in told.items() if name not in of_next}
    return {**rest, "recipe": told["sweet_spot"]["recipe"], "next": of_next}


def report(
    desk: Desk,
    *,
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="Where to write it.")] = Path(
        "dialopt-report.html"
    ),
    notes: Annotated[bool, typer.Option("--notes", help="Put the notes of the shots in it too.")] = False,
    replace: Annotated[bool, typer.Option("--replace", help="Replace the file when it is there already.")] = False,
    seed: options.Seed = SEED,
) -> Answer:
    """Write a report as one HTML file.

    It takes the place of an earlier page of dialopt, of any other file only with --replace.
    """
    check_page(out, replace=replace)
    stood = stands(out)
    with desk.book() as book:
        kept = current(book)
        evidence, advice = advised(book, kept.id, today=desk.now().date(), seed=seed, shown=SHOWN)
        written_report(out, book, evidence, advice, now=desk.now(), notes=notes)
        last = book.last_pull(kept.id)
        return Answer(
            did=f"Wrote the report on {kept.pairing.title} to {out}{', in the place of what was there' * stood}.",
            lines=(f"  {words.sureness_words(advice)}",),
            next_step="open it in a browser; it needs no network.",
            data={"file": out.absolute(), **advice_data(kept, advice, last)},
        )
