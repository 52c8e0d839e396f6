"""shot: logs one. Nothing here reaches for the model, so that a shot is safe before anything can fail."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

import typer

from dialopt.engine.joined import joined
from dialopt.errors import WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.csv_columns import RECIPE_COLUMNS
from dialopt.logbook.records import PairingRecord
from dialopt.shell import options, words
from dialopt.shell.afterwards import afterwards
from dialopt.shell.answer import Answer
from dialopt.shell.asking import Stopped, ask_shot
from dialopt.shell.assumed import Assumed, assumed
from dialopt.shell.closed_burrs import closed_burrs_lines
from dialopt.shell.data import shot_data
from dialopt.shell.desk import Desk
from dialopt.shell.others_kit import others_kit_lines
from dialopt.shell.plausibility import look_data, look_lines, looked_at
from dialopt.shell.register import command
from dialopt.shell.setting_up import current
from dialopt.trade.pairing import DIAL_WORDS, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import FAULTS, Shot

AFTER_A_SHOT = "`dialopt next` says what to pull now; `dialopt undo` takes this one back."


def register(app: typer.Typer) -> None:
    """Adds the command."""
    command(app, "shot")(shot)


def shot(
    desk: Desk,
    *,
    grind: options.Grind = None,
    dose: options.Dose = None,
    temp: options.Temp = None,
    yield_: options.Yield = None,
    time: options.Time = None,
    score: options.Score = None,
    balance: options.Balance = None,
    fault: options.Fault = None,
    tds: options.Tds = None,
    note: options.Note = None,
    at: options.At = None,
    best: Annotated[
        bool, typer.Option("--best", help="Grind, dose and temperature left out are the sweet spot's, not the test's.")
    ] = False,
) -> Answer:
    """Log a shot.

    On a terminal, without any option, it asks. Grind, dose and temperature that you leave out are taken as advised
    last, or, when a shot was logged since, as in that shot.
    """
    given = options.fields(grind, dose, temp, yield_, time, score, balance, fault, tds, note, at)
    values = options.shot_values(given)
    with desk.book() as book:
        kept = current(book)
        taken = assumed(book, kept, best=best)
        if values:
            made, sources = _made(kept.pairing, values, taken), _sources(values, taken)
            made = made if made.pulled_at else replace(made, pulled_at=desk.now())
        else:
            try:
                made, sources = asked(desk, kept.pairing, taken, best=best), {}
            except Stopped:
                return Answer(did="Stopped; nothing was logged.", next_step="`dialopt shot` asks again.")
        return saved(book, kept, made, sources)


def asked(desk: Desk, pairing: Pairing, taken: Assumed, *, best: bool) -> Shot:
    """The shot as the person tells it. Raises WrongUse with nobody to ask, Stopped."""
    if not desk.on_terminal:
        if best:
            raise WrongUse(
                "`--best` says how it was set; add what came of it, as in `dialopt shot --best --time 27 --score 7.5`."
            )
        raise WrongUse(
            "Nothing was said about the shot; give what you know, as in "
            "`dialopt shot --grind 18 --dose 18 --temp 93 --yield 36 --time 27 --score 7.5`."
        )
    start = taken.recipe or Recipe(**{field: dial.middle for field, dial in pairing.dials.items()})
    desk.say(f"A shot of {pairing.title}; `stop` leaves without logging.")
    return ask_shot(desk, pairing, suggested=start, last=taken.last, with_strength=taken.with_strength)


def saved(book: Logbook, kept: PairingRecord, made: Shot, sources: dict[str, str]) -> Answer:
    """Logs the shot and says so. sources: where each setting that was left out came from."""
    number = book.log(kept.id, made)
    odd = afterwards([], looked_at, book, kept, [number])
    lines = [
        *others_kit_lines(kept),
        *afterwards((), closed_burrs_lines, book, kept),
        *(f"  {line}" for line in _taken_words(sources)),
    ]
    if made.fault:
        lines.append(f"  {made.fault.capitalize()}: {FAULTS[made.fault]}.")
    return Answer(
        did=f"Saved as shot {number} of {kept.pairing.title}: {words.shot_words(made)}.",
        lines=(*lines, *look_lines(odd)),
        next_step=AFTER_A_SHOT,
        data={
            "pairing": kept.id,
            "shot": {"number": number, "revision": 1, **shot_data(made)},
            "taken": sources,
            "off_dial": [
                field for field, dial in kept.pairing.dials.items() if not dial.offers(getattr(made.recipe, field))
            ],
            "questions": look_data(odd),
        },
    )


def _made(pairing: Pairing, values: dict[str, Any], taken: Assumed) -> Shot:
    rest = {field: value for field, value in values.items() if field not in RECIPE_COLUMNS}
    settings = {}
    for field, dial in pairing.dials.items():
        if field in values:
            settings[field] = values[field]
        elif taken.recipe is not None:
            settings[field] = getattr(taken.recipe, field)
        elif dial.fixed:
            settings[field] = dial.low
    missing = [f"--{words.OPTIONS[field]}" for field in RECIPE_COLUMNS if field not in settings]
    if missing:
        raise WrongUse(f"There is no advice or earlier shot to take settings from; give {joined(missing)}.")
    return Shot(recipe=Recipe(**settings), **rest)


def _sources(values: dict[str, Any], taken: Assumed) -> dict[str, str]:
    return {field: taken.source for field in RECIPE_COLUMNS if field not in values and taken.recipe is not None}


def _taken_words(sources: dict[str, str]) -> list[str]:
    if not sources:
        return []
    names = joined([DIAL_WORDS[field] for field in sources])
    return [f"{names.capitalize()} {next(iter(sources.values()))}."]
