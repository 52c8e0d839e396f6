"""What stands in the log and what was done to it: shots logged, amended, taken back and listed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dialopt.logbook.defaults import Source
from dialopt.logbook.records import Entry, Operation, PairingRecord
from dialopt.logbook.second_look import Asked
from dialopt.text.formats import counted, joined, sentence_case, signed
from dialopt.text.questions import look_lines
from dialopt.text.recipes import recipe_words
from dialopt.text.said import Said
from dialopt.text.shots import context_words
from dialopt.trade.fields import NOTED_FIELDS
from dialopt.trade.pairing import DIAL_WORDS
from dialopt.trade.shot import FAULTS, Shot, balance_word

_LISTED = "`dialopt shots` shows what stands in the log."
_NEXT = "`dialopt next` says what to pull now."
STOPPED = Said(did="Stopped; nothing was logged.", next_step="`dialopt shot` asks again.")
HOW_SET_ONLY = "`--best` says how it was set; add what came of it, as in `dialopt shot --best --time 27 --score 7.5`."
NOTHING_SAID = (
    "Nothing was said about the shot; give what you know, as in "
    "`dialopt shot --grind 18 --dose 18 --temp 93 --yield 36 --time 27 --score 7.5`."
)
NO_SWEET_SPOT = "No sweet spot was shown yet on these dials."
SHOW_SWEET_SPOT = "`dialopt sweet-spot` shows it."
_MOST_SHOTS = 5
"""Shots of one act that are listed."""
_LEFT_OUT = tuple(field for field in NOTED_FIELDS if field.said and not field.context)
"""What a shot in one line doesn't say."""
_SOURCES = {
    "advised": "as advised",
    "shot_before": "as in the shot before",
    "last_on_dials": "as in the last shot that was on the dials",
    "sweet_spot": "of the sweet spot",
}


def shot_words(shot: Shot) -> str:
    """A shot in one line, without its note."""
    cup = [f"{shot.yield_g:g} g"] if shot.yield_g is not None else []
    cup += [f"in {shot.time_s:g} s"] if shot.time_s is not None else []
    taste = [f"score {shot.score:g}" if shot.score is not None else "not scored"]
    if shot.balance is not None:
        taste.append(f"{balance_word(shot.balance)} ({signed(shot.balance, 2)})")
    if shot.extraction_yield_pct is not None:
        taste.append(f"{shot.extraction_yield_pct:.1f} % extracted")
    taste += context_words(shot)
    if shot.fault:
        taste.append(shot.fault)
    return f"{recipe_words(shot.recipe)} → {', '.join([' '.join(cup) or 'cup not weighed', *taste])}"


def source_words(source: Source) -> str:
    """Where settings that nobody said come from.

    >>> source_words(Source(kind="shot_before"))
    'as in the shot before'
    """
    shown = f" as shown on {source.shown_at:%Y-%m-%d}, before the latest shots" if source.shown_at else ""
    return _SOURCES[source.kind] + shown


def asks_for(title: str) -> str:
    """What stands above the questions about a shot."""
    return f"A shot of {title}; `stop` leaves without logging."


def nothing_to_go_by(options: Sequence[str]) -> str:
    """Which options a shot needs that no earlier one sets."""
    return f"There is no advice or earlier shot to take settings from; give {joined(options)}."


def saved_said(
    title: str, number: int, shot: Shot, mind: Sequence[str], taken: Mapping[str, str], asked: Asked
) -> Said:
    """That a shot is saved. mind: what must be said of its pairing. taken: by setting left out, where it came from."""
    settings = sentence_case(joined([DIAL_WORDS[field] for field in taken]))
    return Said(
        did=f"Saved as shot {number} of {title}: {shot_words(shot)}.",
        lines=(
            *mind,
            *([f"  {settings} {next(iter(taken.values()))}."] if taken else []),
            *([f"  {shot.fault.capitalize()}: {FAULTS[shot.fault]}."] if shot.fault else []),
            *look_lines(asked),
        ),
        next_step="`dialopt next` says what to pull now; `dialopt undo` takes this one back.",
    )


def saved_sentence(number: int, shot: Shot) -> str:
    """The same in a conversation."""
    return f"Saved as shot {number}: {shot_words(shot)}."


def say_what_changes(number: int) -> str:
    """What an amendment takes."""
    return f"Say what changes, as in `dialopt amend {number} --score 7.5`."


def amended_said(before: Entry, after: Entry, asked: Asked) -> Said:
    """That a shot was amended, or was just that already. asked: about what is new in it."""
    lines = (*was_and_is(before.shot, after.shot), *look_lines(asked))
    if after.revision == before.revision:
        did = f"Shot {after.number} was just that already; nothing changed."
        return Said(did=did, lines=lines, next_step=_LISTED)
    step = "`dialopt next` takes it into account; `dialopt undo` takes the amendment back."
    return Said(did=f"Amended shot {after.number}.", lines=lines, next_step=step)


def amended_sentence(number: int, shot: Shot) -> str:
    """The same in a conversation."""
    return f"Amended shot {number}: {shot_words(shot)}."


def taken_back_already(number: int) -> str:
    """Why a shot can't be amended or taken back once more."""
    return (
        f"Shot {number} was taken back; `dialopt shots --history` shows it, and `dialopt shot` logs it anew, with "
        "`--at` as of then."
    )


def shot_undone_said(entry: Entry) -> Said:
    """That one shot was taken back, whatever came after it."""
    return Said(
        did=f"Took back shot {entry.number}.",
        lines=(f"  was  {shot_words(entry.shot)}",),
        next_step="`dialopt shots` shows what stands; if it was of another pairing, `dialopt use KEY` switches there, "
        "and `dialopt shot` with `--at` logs it.",
    )


def undone_said(operation: Operation, stands: Entry | None) -> Said:
    """That the latest act was taken back. stands: of an amendment, the shot as it stands now."""
    gone = operation.entries[0].shot
    if operation.kind != "amend":
        lines = _few_shots(operation.entries)
    else:
        lines = was_and_is(gone, stands.shot) if stands else (f"  was  {shot_words(gone)}",)
    step = "`dialopt shots` shows what stands; `dialopt shots --history` what was taken back."
    return Said(did=undone_sentence(operation), lines=lines, next_step=step)


def undone_sentence(operation: Operation) -> str:
    """The same in a conversation."""
    return f"Took back {operation_words(operation)}."


def shots_said(record: PairingRecord, entries: Sequence[Entry], history: Sequence[Operation] | None) -> Said:
    """The shots, or everything that was done to them."""
    if history is None:
        lines = [line for entry in entries for line in _entry_lines(entry)]
    else:
        lines = [line for it in history for line in (f"  {_history_line(it)}", *_few_shots(it.entries))]
    did = f"{counted(len(entries), 'shot')} of {record.pairing.title}."
    return Said(did=did, lines=tuple(lines), next_step=_NEXT)


def was_and_is(was: Shot, now: Shot) -> tuple[str, ...]:
    """A shot before and after, with what is left out of its line otherwise where that differs."""
    return f"  was  {_told(was, now)}", f"  now  {_told(now, was)}"


def operation_words(operation: Operation) -> str:
    """What was done, e.g. "shot 3" or "the amendment of shot 3"."""
    if operation.kind == "import":
        return f"the import of {counted(len(operation.entries), 'shot')} from {operation.source}"
    return f"{'shot' if operation.kind == 'log' else 'the amendment of shot'} {operation.entries[0].number}"


def _told(shot: Shot, other: Shot) -> str:
    more = [
        field.unsaid if (value := getattr(shot, field.name)) is None else field.said.format(value)
        for field in _LEFT_OUT
        if getattr(shot, field.name) != getattr(other, field.name)
    ]
    return ", ".join([shot_words(shot), *more])


def _entry_lines(entry: Entry) -> list[str]:
    when = f"  {entry.shot.pulled_at:%Y-%m-%d %H:%M}" if entry.shot.pulled_at else ""
    lines = [f"{_numbered(entry, 2)}{when}{'  (amended)' * (entry.revision > 1)}"]
    return [*lines, f"       {entry.shot.note}"] if entry.shot.note else lines


def _few_shots(entries: Sequence[Entry]) -> tuple[str, ...]:
    more = len(entries) - _MOST_SHOTS
    return (*(_numbered(it, 4) for it in entries[:_MOST_SHOTS]), *([f"    and {more} more"] if more > 0 else []))


def _numbered(entry: Entry, blanks: int) -> str:
    return f"{' ' * blanks}{entry.number:>3}  {shot_words(entry.shot)}"


def _history_line(operation: Operation) -> str:
    undone = f", taken back {operation.undone_at:%Y-%m-%d %H:%M}" if operation.undone_at else ""
    return f"{operation.at:%Y-%m-%d %H:%M}  {operation_words(operation)}{undone}"
