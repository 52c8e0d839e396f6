"""caffeine: how much of it today's shots hold, against the published limits."""

from __future__ import annotations

from typing import Annotated

import typer

from dialopt.shell.answer import Answer
from dialopt.shell.caffeine_tally import caffeine_tally, tally_data, tally_lines
from dialopt.shell.desk import Desk
from dialopt.shell.register import command
from dialopt.text.caffeine import DOCTOR
from dialopt.trade.caffeine import HELD_MG_PER_G, UNKNOWN
from dialopt.trade.checks import one_of

AGAIN = "after more shots, `dialopt caffeine` again"
NARROW = "`dialopt bean NAME --species KIND`, then `dialopt pairing --amend`, narrows the range"


def register(app: typer.Typer) -> None:
    """Adds the command."""
    command(app, "caffeine")(caffeine)


def caffeine(
    desk: Desk,
    *,
    species: Annotated[
        str,
        typer.Option(
            "--species",
            metavar="|".join(HELD_MG_PER_G),
            help="What to take beans for that were set up without --species.",
        ),
    ] = UNKNOWN,
    pregnant: Annotated[
        str | None,
        typer.Option("--pregnant", metavar="yes|no", help="Set it once, and every word on caffeine minds it."),
    ] = None,
) -> Answer:
    """Estimate the caffeine of today's shots and of this sitting.

    It goes by the doses of all shots logged with a time, as a range, as if every cup were drunk to the end. A sitting
    ends with two hours without a shot. It knows nothing of what else you drink, and nothing of you.
    """
    setting = None if pregnant is None else one_of("pregnant", pregnant, ("yes", "no")) == "yes"
    one_of("species", species, tuple(HELD_MG_PER_G))  # before anything is set
    with desk.book() as book:
        if setting is not None:
            book.set_pregnant(setting)
        tally = caffeine_tally(book, desk.now(), species)
    done = {None: "", True: " Pregnancy is set.", False: " Pregnancy is not set."}[setting]
    return Answer(
        did=f"Estimated the caffeine of {tally.day.shots or 'no'} shot{'s' * (tally.day.shots != 1)} today.{done}",
        lines=tally_lines(tally),
        next_step=f"{NARROW if UNKNOWN in tally.species else AGAIN}; {DOCTOR}",
        data=tally_data(tally),
    )
