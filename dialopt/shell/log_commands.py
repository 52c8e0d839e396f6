"""amend, undo, shots: what stands in the log, and how it came to be."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

import typer

from dialopt.errors import NotFound, WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.csv_columns import RECIPE_COLUMNS
from dialopt.logbook.records import Entry, Operation, PairingRecord
from dialopt.shell import options, words
from dialopt.shell.afterwards import afterwards
from dialopt.shell.answer import Answer
from dialopt.shell.data import act_data, entry_data
from dialopt.shell.desk import Desk
from dialopt.shell.plausibility import look_data, look_lines, looked_at
from dialopt.shell.register import command
from dialopt.shell.setting_up import current
from dialopt.trade.shot import Shot

_LEFT_OUT = (
    ("tds_pct", "strength {:g} %", "no strength"),
    ("pulled_at", "pulled at {}", "not said when"),
    ("note", "note: {}", "no note"),
)
"""What a shot in one line doesn't say: field, how it is said, what is said without it."""


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    command(app, "amend")(amend)
    command(app, "undo")(undo)
    command(app, "shots")(shots)


def amend(
    desk: Desk,
    *,
    number: Annotated[int, typer.Argument(metavar="NUMBER", help="The shot's number in `dialopt shots`.")],
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
) -> Answer:
    """Correct a shot: give what changes. The word "none" takes back anything but grind, dose and temperature.

    What stood there before stays in the history.
    """
    given = options.fields(grind, dose, temp, yield_, time, score, balance, fault, tds, note, at)
    values = options.shot_values(given, may_clear=True)
    if not values:
        raise WrongUse(f"Say what changes, as in `dialopt amend {number} --score 7.5`.")
    with desk.book() as book:
        kept = current(book)
        before = _entry(book, kept, number)
        # What was asked of the shot as it stood before was answered by leaving it so.
        known = looked_at(book, kept, [number])
        recipe = {field: values.pop(field) for field in RECIPE_COLUMNS if field in values}
        after = book.amend(
            kept.id, number, replace(before.shot, recipe=replace(before.shot.recipe, **recipe), **values)
        )
        changed = after.revision != before.revision
        odd = [asked for asked in afterwards([], looked_at, book, kept, [number]) if asked not in known]
        return Answer(
            did=f"Amended shot {number}." if changed else f"Shot {number} was just that already; nothing changed.",
            lines=(
                f"  was  {_told(before.shot, after.shot)}",
                f"  now  {_told(after.shot, before.shot)}",
                *look_lines(odd),
            ),
            next_step="`dialopt next` takes it into account; `dialopt undo` takes the amendment back."
            if changed
            else "`dialopt shots` shows what stands in the log.",
            data={
                "pairing": kept.id,
                "changed": changed,
                "before": entry_data(before),
                "shot": entry_data(after),
                "questions": look_data(odd),
            },
        )


def undo(
    desk: Desk,
    *,
    number: Annotated[
        int | None,
        typer.Option("--shot", metavar="NUMBER", help="Take back that shot, whatever was logged after it."),
    ] = None,
) -> Answer:
    """Take back what was done to the log last, or one shot.

    That is a shot, an amendment or a whole import. Nothing is deleted; `shots --history` still shows it.
    """
    with desk.book() as book:
        kept = current(book)
        if number is not None:
            return _shot_taken_back(book, kept, number)
        act = book.undo(kept.id)
        entries = afterwards(None, book.entries, kept.id)
        left = None if entries is None else len(entries)
        amended = act.entries[0].number if act.kind == "amend" else None
        stands = next((entry for entry in entries or () if entry.number == amended), None)
        return Answer(
            did=f"Took back {act_words(act)}.",
            lines=_taken_back(act, stands),
            next_step="`dialopt shots` shows what stands; `dialopt shots --history` what was taken back.",
            data={"pairing": kept.id, "undone": act_data(act), "shots": left, "shot": stands and entry_data(stands)},
        )


def _shot_taken_back(book: Logbook, kept: PairingRecord, number: int) -> Answer:
    entry = _entry(book, kept, number)
    acts = book.take_back(kept.id, number)
    left = afterwards(None, book.entries, kept.id)
    return Answer(
        did=f"Took back shot {number}.",
        lines=(f"  was  {words.shot_words(entry.shot)}",),
        next_step="`dialopt shots` shows what stands; if it was of another pairing, `dialopt use KEY` switches there, "
        "and `dialopt shot` with `--at` logs it.",
        data={
            "pairing": kept.id,
            "undone": [act_data(act) for act in acts],
            "shots": None if left is None else len(left),
            "shot": None,
        },
    )


def shots(
    desk: Desk,
    *,
    history: Annotated[
        bool, typer.Option("--history", help="Everything that was done, amended and taken back included.")
    ] = False,
) -> Answer:
    """List the shots of the pairing in use."""
    with desk.book() as book:
        kept = current(book)
        entries = book.entries(kept.id)
        data: dict[str, Any] = {"pairing": kept.id, "shots": [entry_data(entry) for entry in entries]}
        if history:
            acts = book.history(kept.id)
            data["history"] = [act_data(act) for act in acts]
            lines = tuple(line for act in acts for line in (f"  {_history_line(act)}", *_few_shots(act.entries)))
        else:
            lines = tuple(line for entry in entries for line in _entry_lines(entry))
        return Answer(
            did=f"{len(entries)} shot{'s' * (len(entries) != 1)} of {kept.pairing.title}.",
            lines=lines,
            next_step="`dialopt next` says what to pull now.",
            data=data,
        )


def _entry(book: Logbook, kept: PairingRecord, number: int) -> Entry:
    try:
        return book.entry(kept.id, number)
    except NotFound:
        if any(entry.number == number for act in book.history(kept.id) for entry in act.entries):
            raise NotFound(
                f"Shot {number} was taken back; `dialopt shots --history` shows it, and `dialopt shot` logs it anew, "
                "with `--at` as of then."
            ) from None
        raise


def _told(shot: Shot, other: Shot) -> str:
    """A shot in one line, with what is left out of that otherwise where the other one differs in it."""
    more = [
        absent if getattr(shot, field) is None else form.format(getattr(shot, field))
        for field, form, absent in _LEFT_OUT
        if getattr(shot, field) != getattr(other, field)
    ]
    return ", ".join([words.shot_words(shot), *more])


def _taken_back(act: Operation, stands: Entry | None) -> tuple[str, ...]:
    """The shots that are gone; where it was an amendment, how the shot was by it and how it stands now."""
    if act.kind != "amend":
        return _few_shots(act.entries)
    gone = act.entries[0].shot
    if stands is None:
        return (f"  was  {words.shot_words(gone)}",)
    return f"  was  {_told(gone, stands.shot)}", f"  now  {_told(stands.shot, gone)}"


def _entry_lines(entry: Entry) -> list[str]:
    when = f"  {entry.shot.pulled_at:%Y-%m-%d %H:%M}" if entry.shot.pulled_at else ""
    amended = "  (amended)" if entry.revision > 1 else ""
    lines = [f"  {entry.number:>3}  {words.shot_words(entry.shot)}{when}{amended}"]
    return [*lines, f"       {entry.shot.note}"] if entry.shot.note else lines


def _few_shots(entries: tuple[Entry, ...], at_most: int = 5) -> tuple[str, ...]:
    lines = [f"    {entry.number:>3}  {words.shot_words(entry.shot)}" for entry in entries[:at_most]]
    return (*lines, f"    and {len(entries) - at_most} more") if len(entries) > at_most else tuple(lines)


def act_words(act: Operation) -> str:
    """What was done, e.g. "shot 3" or "the amendment of shot 3"."""
    first = act.entries[0].number
    if act.kind == "import":
        many = len(act.entries)
        return f"the import of {many} shot{'s' * (many != 1)} from {act.source}"
    return f"{'shot' if act.kind == 'log' else 'the amendment of shot'} {first}"


def _history_line(act: Operation) -> str:
    undone = f", taken back {act.undone_at:%Y-%m-%d %H:%M}" if act.undone_at else ""
    return f"{act.at:%Y-%m-%d %H:%M}  {act_words(act)}{undone}"
