"""shot, amend, undo, shots: what stands in the log, and how it came to be.

Nothing here reaches for the model, so that a shot is safe before anything can fail.
"""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Annotated, Any

from dialopt.errors import NotFound, WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import Entry, Operation, PairingRecord
from dialopt.shell.context import Context, best_effort
from dialopt.shell.data import entry_data, operation_data, shot_data
from dialopt.shell.defaults import Defaults, defaults
from dialopt.shell.in_use import current, mind_lines
from dialopt.shell.options import ShotOptions, argument, called, flag, option
from dialopt.shell.parsers import shot_values
from dialopt.shell.plausibility import look_data, look_lines, looked_at
from dialopt.shell.prompts import Stopped, ask_shot
from dialopt.shell.render import Answer
from dialopt.text import terminal as words
from dialopt.text.formats import joined
from dialopt.trade.fields import NOTED_FIELDS, RECIPE_COLUMNS
from dialopt.trade.pairing import DIAL_WORDS, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import FAULTS, Shot

AFTER_A_SHOT = "`dialopt next` says what to pull now; `dialopt undo` takes this one back."
_LEFT_OUT = tuple(field for field in NOTED_FIELDS if field.said and not field.context)
"""What a shot in one line doesn't say."""


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
        taken = defaults(book, record, best=best)
        if values:
            made = _made(record.pairing, {"pulled_at": context.now(), **values}, taken)
            sources = {} if taken.recipe is None else {it: taken.source for it in RECIPE_COLUMNS if it not in values}
            return _logged(book, record, made, sources)
        try:
            return _logged(book, record, _asked(context, record.pairing, taken, best=best), {})
        except Stopped:
            return Answer(did="Stopped; nothing was logged.", next_step="`dialopt shot` asks again.")


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
        raise WrongUse(f"Say what changes, as in `dialopt amend {number} --score 7.5`.")
    with context.book() as book:
        record = current(book)
        before = _entry(book, record, number)
        # What was asked of the shot as it stood before was answered by leaving it so.
        known = looked_at(book, record, [number])
        recipe = {field: values.pop(field) for field in RECIPE_COLUMNS if field in values}
        made = replace(before.shot, recipe=replace(before.shot.recipe, **recipe), **values)
        after = book.amend(record.id, number, made)
        changed = after.revision != before.revision
        odd = [asked for asked in best_effort([], looked_at, book, record, [number]) if asked not in known]
        return Answer(
            did=f"Amended shot {number}." if changed else f"Shot {number} was just that already; nothing changed.",
            lines=(*_was_and_is(before.shot, after.shot), *look_lines(odd)),
            next_step="`dialopt next` takes it into account; `dialopt undo` takes the amendment back."
            if changed
            else "`dialopt shots` shows what stands in the log.",
            data={
                "pairing": record.id,
                "changed": changed,
                "before": entry_data(before),
                "shot": entry_data(after),
                "questions": look_data(odd),
            },
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
        data = {"pairing": record.id, "shots": None if entries is None else len(entries), "shot": None}
        if before is not None:
            return Answer(
                did=f"Took back shot {number}.",
                lines=(f"  was  {words.shot_words(before.shot)}",),
                next_step="`dialopt shots` shows what stands; if it was of another pairing, `dialopt use KEY` switches "
                "there, and `dialopt shot` with `--at` logs it.",
                data={**data, "undone": [operation_data(operation) for operation in operations]},
            )
        operation, gone = operations[0], operations[0].entries[0]
        stands = next((it for it in entries or () if operation.kind == "amend" and it.number == gone.number), None)
        if operation.kind != "amend":
            lines = _few_shots(operation.entries)
        else:
            lines = _was_and_is(gone.shot, stands.shot) if stands else (f"  was  {words.shot_words(gone.shot)}",)
        return Answer(
            did=f"Took back {operation_words(operation)}.",
            lines=lines,
            next_step="`dialopt shots` shows what stands; `dialopt shots --history` what was taken back.",
            data={**data, "undone": operation_data(operation), "shot": stands and entry_data(stands)},
        )


def shots(
    context: Context,
    *,
    history: Annotated[bool, flag("--history", "Everything that was done, amended and taken back included.")] = False,
) -> Answer:
    """List the shots of the pairing in use."""
    with context.book() as book:
        record = current(book)
        entries = book.entries(record.id)
        data: dict[str, Any] = {"pairing": record.id, "shots": [entry_data(entry) for entry in entries]}
        if history:
            operations = book.history(record.id)
            data["history"] = [operation_data(operation) for operation in operations]
            lines = [
                line
                for operation in operations
                for line in (f"  {_history_line(operation)}", *_few_shots(operation.entries))
            ]
        else:
            lines = [line for entry in entries for line in _entry_lines(entry)]
        return Answer(
            did=f"{len(entries)} shot{'s' * (len(entries) != 1)} of {record.pairing.title}.",
            lines=tuple(lines),
            next_step="`dialopt next` says what to pull now.",
            data=data,
        )


def _asked(context: Context, pairing: Pairing, taken: Defaults, *, best: bool) -> Shot:
    """The shot as the person tells it. Raises WrongUse with nobody to ask, Stopped."""
    if not context.on_terminal:
        raise WrongUse(
            "`--best` says how it was set; add what came of it, as in `dialopt shot --best --time 27 --score 7.5`."
            if best
            else "Nothing was said about the shot; give what you know, as in "
            "`dialopt shot --grind 18 --dose 18 --temp 93 --yield 36 --time 27 --score 7.5`."
        )
    start = taken.recipe or Recipe(**{field: dial.middle for field, dial in pairing.dials.items()})
    context.say(f"A shot of {pairing.title}; `stop` leaves without logging.")
    return ask_shot(context, pairing, suggested=start, last=taken.last, with_strength=taken.with_strength)


def _logged(book: Logbook, record: PairingRecord, made: Shot, sources: dict[str, str]) -> Answer:
    """Logs the shot and says so. sources: where each setting that was left out came from."""
    number = book.log(record.id, made)
    odd = best_effort([], looked_at, book, record, [number])
    taken = joined([DIAL_WORDS[field] for field in sources]).capitalize()
    return Answer(
        did=f"Saved as shot {number} of {record.pairing.title}: {words.shot_words(made)}.",
        lines=(
            *mind_lines(book, record),
            *([f"  {taken} {next(iter(sources.values()))}."] if sources else []),
            *([f"  {made.fault.capitalize()}: {FAULTS[made.fault]}."] if made.fault else []),
            *look_lines(odd),
        ),
        next_step=AFTER_A_SHOT,
        data={
            "pairing": record.id,
            "shot": {"number": number, "revision": 1, **shot_data(made)},
            "taken": sources,
            "off_dial": [
                field for field, dial in record.pairing.dials.items() if not dial.offers(getattr(made.recipe, field))
            ],
            "questions": look_data(odd),
        },
    )


def _made(pairing: Pairing, values: dict[str, Any], taken: Defaults) -> Shot:
    """The shot of these values, its other settings as they are taken to be. Raises WrongUse."""
    fixed = {field: dial.low for field, dial in pairing.dials.items() if dial.fixed}
    settings = {**fixed, **(asdict(taken.recipe) if taken.recipe else {}), **values}
    missing = [called(field) for field in RECIPE_COLUMNS if field not in settings]
    if missing:
        raise WrongUse(f"There is no advice or earlier shot to take settings from; give {joined(missing)}.")
    recipe = Recipe(**{field: settings[field] for field in RECIPE_COLUMNS})
    return Shot(recipe=recipe, **{field: value for field, value in values.items() if field not in RECIPE_COLUMNS})


def _entry(book: Logbook, record: PairingRecord, number: int) -> Entry:
    try:
        return book.entry(record.id, number)
    except NotFound:
        if any(entry.number == number for operation in book.history(record.id) for entry in operation.entries):
            raise NotFound(
                f"Shot {number} was taken back; `dialopt shots --history` shows it, and `dialopt shot` logs it anew, "
                "with `--at` as of then."
            ) from None
        raise


def _was_and_is(was: Shot, now: Shot) -> tuple[str, str]:
    return f"  was  {_told(was, now)}", f"  now  {_told(now, was)}"


def _told(shot: Shot, other: Shot) -> str:
    """A shot in one line, with what is left out of that otherwise where the other one differs in it."""
    more = [
        field.unsaid if (value := getattr(shot, field.name)) is None else field.said.format(value)
        for field in _LEFT_OUT
        if getattr(shot, field.name) != getattr(other, field.name)
    ]
    return ", ".join([words.shot_words(shot), *more])


def _entry_lines(entry: Entry) -> list[str]:
    when = f"  {entry.shot.pulled_at:%Y-%m-%d %H:%M}" if entry.shot.pulled_at else ""
    amended = "  (amended)" if entry.revision > 1 else ""
    lines = [f"  {entry.number:>3}  {words.shot_words(entry.shot)}{when}{amended}"]
    return [*lines, f"       {entry.shot.note}"] if entry.shot.note else lines


def _few_shots(entries: tuple[Entry, ...], at_most: int = 5) -> tuple[str, ...]:
    lines = [f"    {entry.number:>3}  {words.shot_words(entry.shot)}" for entry in entries[:at_most]]
    return (*lines, f"    and {len(entries) - at_most} more") if len(entries) > at_most else tuple(lines)


def operation_words(operation: Operation) -> str:
    """What was done, e.g. "shot 3" or "the amendment of shot 3"."""
    first, many = operation.entries[0].number, len(operation.entries)
    if operation.kind == "import":
        return f"the import of {many} shot{'s' * (many != 1)} from {operation.source}"
    return f"{'shot' if operation.kind == 'log' else 'the amendment of shot'} {first}"


def _history_line(operation: Operation) -> str:
    undone = f", taken back {operation.undone_at:%Y-%m-%d %H:%M}" if operation.undone_at else ""
    return f"{operation.at:%Y-%m-%d %H:%M}  {operation_words(operation)}{undone}"
