"""shot, amend, undo, shots: what stands in the log, and how it came to be.

Nothing here reaches for the model, so that a shot is safe before anything can fail.
"""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Annotated, Any

from dialopt.errors import NotFound, WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.defaults import Defaults
from dialopt.logbook.records import Entry, PairingRecord
from dialopt.logbook.second_look import Asked
from dialopt.shell.context import Context, best_effort
from dialopt.shell.in_use import current, looked_at, mind_lines, taken_settings
from dialopt.shell.options import ShotOptions, argument, called, flag, option
from dialopt.shell.parsers import shot_values
from dialopt.shell.prompts import Stopped, ask_shot
from dialopt.shell.render import Answer, answered, entry_data, operation_data, shot_data
from dialopt.text import log as words
from dialopt.text.questions import fault_command, question_sentence, slip_commands
from dialopt.trade.fields import RECIPE_COLUMNS, REQUIRED_COLUMNS
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


def shot(
    context: Context,
    *,
    typed: ShotOptions,
    best: Annotated[
        bool, flag("--best", "Grind, dose and temperature left out are the sweet spot's, not the test's.")
    ] = False,
) -> Answer:
    """Log a shot.

    On a terminal, without any option, it asks. Grind, dose and temperature that you leave out are taken as advised
    last, or, when a shot was logged since, as in that shot.
    """
    values = shot_values(asdict(typed))
    with context.book() as book:
        record = current(book)
        taken = taken_settings(book, record, best=best)
        sources: dict[str, str] = {}
        if values:
            made = _made(record.pairing, {"pulled_at": context.now(), **values}, taken)
            if taken.source is not None:
                sources = {it: words.source_words(taken.source) for it in REQUIRED_COLUMNS if it not in values}
        else:
            try:
                made = _asked(context, record.pairing, taken, best=best)
            except Stopped:
                return answered(words.STOPPED)
        number = book.log(record.id, made)
        asked = best_effort([], looked_at, book, record, [number])
        return answered(
            words.saved_said(record.pairing.title, number, made, mind_lines(book, record), sources, asked),
            pairing=record.id,
            shot={"number": number, "revision": 1, **shot_data(made)},
            taken=sources,
            off_dial=record.pairing.off_dial(made.recipe),
            questions=look_data(asked),
        )


def amend(
    context: Context,
    *,
    number: Annotated[int, argument("NUMBER", "The shot's number in `dialopt shots`.")],
    typed: ShotOptions,
) -> Answer:
    """Correct a shot: give what changes. The word "none" takes back anything but grind, dose and temperature.

    What stood there before stays in the history.
    """
    values = shot_values(asdict(typed), may_clear=True)
    if not values:
        raise WrongUse(words.say_what_changes(number))
    with context.book() as book:
        record = current(book)
        before = _entry(book, record, number)
        # What was asked of the shot as it stood before was answered by leaving it so.
        known = looked_at(book, record, [number])
        recipe = {field: values.pop(field) for field in RECIPE_COLUMNS if field in values}
        made = replace(before.shot, recipe=replace(before.shot.recipe, **recipe), **values)
        after = book.amend(record.id, number, made)
        asked = [it for it in best_effort([], looked_at, book, record, [number]) if it not in known]
        return answered(
            words.amended_said(before, after, asked),
            pairing=record.id,
            changed=after.revision != before.revision,
            before=entry_data(before),
            shot=entry_data(after),
            questions=look_data(asked),
        )


def undo(
    context: Context,
    *,
    number: Annotated[
        int | None, option("NUMBER", "Take back that shot, whatever was logged after it.", "--shot")
    ] = None,
) -> Answer:
    """Take back what was done to the log last, or one shot.

    That is a shot, an amendment or a whole import. Nothing is deleted; `shots --history` still shows it.
    """
    with context.book() as book:
        record = current(book)
        before = None if number is None else _entry(book, record, number)
        operations = [book.undo(record.id)] if number is None else book.take_back(record.id, number)
        entries = best_effort(None, book.entries, record.id)
        data: dict[str, Any] = {"pairing": record.id, "shots": None if entries is None else len(entries), "shot": None}
        if before is not None:
            undone = [operation_data(operation) for operation in operations]
            return answered(words.shot_undone_said(before), **data, undone=undone)
        operation, gone = operations[0], operations[0].entries[0]
        stands = next((it for it in entries or () if operation.kind == "amend" and it.number == gone.number), None)
        data["shot"] = stands and entry_data(stands)
        return answered(words.undone_said(operation, stands), **data, undone=operation_data(operation))


def shots(
    context: Context,
    *,
    history: Annotated[bool, flag("--history", "Everything that was done, amended and taken back included.")] = False,
) -> Answer:
    """List the shots of the pairing in use."""
    with context.book() as book:
        record = current(book)
        entries = book.entries(record.id)
        operations = book.history(record.id) if history else None
        data: dict[str, Any] = {"pairing": record.id, "shots": [entry_data(entry) for entry in entries]}
        if operations is not None:
            data["history"] = [operation_data(operation) for operation in operations]
        return answered(words.shots_said(record, entries, operations), **data)


def look_data(asked: Asked) -> list[dict[str, Any]]:
    """Questions about shots, with the commands that would mend each."""
    return [
        {
            "shot": number,
            "about": question.about,
            "says": question_sentence(question),
            "slip": question.slip,
            "fault": question.fault,
            "finer": question.finer,
            "if_slip": slip_commands(number, question),
            "if_fault": fault_command(number, question),
        }
        for number, question in asked
    ]


def _asked(context: Context, pairing: Pairing, taken: Defaults, *, best: bool) -> Shot:
    """The shot as the person tells it. Raises WrongUse with nobody to ask, Stopped."""
    if not context.on_terminal:
        raise WrongUse(words.HOW_SET_ONLY if best else words.NOTHING_SAID)
    start = taken.recipe or Recipe(**{field: dial.middle for field, dial in pairing.dials.items()})
    context.say(words.asks_for(pairing.title))
    return ask_shot(context, pairing, suggested=start, last=taken.last, with_strength=taken.with_strength)


def _made(pairing: Pairing, values: dict[str, Any], taken: Defaults) -> Shot:
    """The shot of these values, its other settings as they are taken to be. Raises WrongUse."""
    fixed = {field: dial.low for field, dial in pairing.dials.items() if dial.fixed and field in REQUIRED_COLUMNS}
    settings = {**fixed, **(asdict(taken.recipe) if taken.recipe else {}), **values}
    missing = [called(field) for field in REQUIRED_COLUMNS if field not in settings]
    if missing:
        raise WrongUse(words.nothing_to_go_by(missing))
    recipe = Recipe(**{field: settings[field] for field in RECIPE_COLUMNS if field in settings})
    return Shot(recipe=recipe, **{field: value for field, value in values.items() if field not in RECIPE_COLUMNS})


def _entry(book: Logbook, record: PairingRecord, number: int) -> Entry:
    """The live shot of that number. Raises NotFound."""
    try:
        return book.entry(record.id, number)
    except NotFound:
        if any(entry.number == number for operation in book.history(record.id) for entry in operation.entries):
            raise NotFound(words.taken_back_already(number)) from None
        raise
