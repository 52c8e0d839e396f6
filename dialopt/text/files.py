"""Files in and out: spreadsheets, copies of the logbook, and what somebody else sent."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from shlex import quote

from dialopt.logbook.records import PairingRecord, Received
from dialopt.logbook.restore import Held, Restored, State
from dialopt.logbook.second_look import Asked
from dialopt.text.advice import grinder_independent_lines
from dialopt.text.formats import counted, joined
from dialopt.text.questions import MEND, listed_lines
from dialopt.text.said import Said, row, rows
from dialopt.text.setting_up import NEXT_STEP
from dialopt.trade.freshness import Freshness
from dialopt.trade.grinder_independent import GrinderIndependent
from dialopt.trade.pairing import Pairing

NAMED_TWICE = "A file is named twice, so its shots would be logged twice; name each file once."
WHAT_THERE_IS = "`dialopt restore` lists what there is."
GO_BACK_ALL_THE_SAME = "`--replace` goes back all the same; the logbook of now is then kept as one more copy."
NOTHING_TO_SHARE = "There is no shot to share yet."
LOG_ONE = "`dialopt shot` logs one."
_FROM_JOURNAL = "`dialopt restore journal` builds the logbook anew, with every confirmed shot."
_FROM_LATEST = "`dialopt restore latest` goes back to the fullest copy."
_GO_BACK = "`dialopt restore NAME --replace` goes back to a copy; the logbook of now is kept as one more."
_MOST_SAID = 5
"""Findings of a check that are said; one damaged page can make hundreds."""


def imported_said(title: str, names: str, numbers: Sequence[int], asked: Asked) -> Said:
    """That shots were imported. names: of the files. asked: what looks odd about them."""
    odd, many = len({number for number, _ in asked}), len(numbers) > 1
    places = f"as shots {numbers[0]} to {numbers[-1]}." if many else f"as shot {numbers[0]}."
    look = f" {odd} of {'them want' if odd > 1 else 'them wants'} a second look." if odd and many else ""
    return Said(
        did=f"Imported {counted(len(numbers), 'shot')} from {names} into {title}, {places}{look}",
        lines=listed_lines(asked),
        next_step=f"{MEND if asked else ''}`dialopt next` says what to pull now; `dialopt undo` takes the whole import "
        "back.",
    )


def bad_time(number: int, value: str, accepted: str) -> str:
    """That a row of a file has a time to come."""
    return f"shot {number} of it, pulled_at can't be {value}; it takes {accepted}"


def exported_said(title: str, shots: int, file: Path) -> Said:
    """That shots were written."""
    return Said(
        did=f"Wrote {counted(shots, 'shot')} of {title} to {file}.",
        next_step="`dialopt import` reads such a file back.",
    )


def current_lost(path: Path) -> str:
    """That nobody knows any more which pairing is in use."""
    return f"In the logbook {path} which pairing is in use is lost."


def not_whole(path: Path, findings: Sequence[str]) -> str:
    """What a check found."""
    more = len(findings) - _MOST_SAID
    said = f"The logbook {path} isn't whole. {' '.join(findings[:_MOST_SAID])}"
    return said + (f" And {counted(more, 'more finding')}." if more > 0 else "")


def whole_said(path: Path) -> Said:
    """That a check found nothing."""
    step = "`dialopt backup` makes a dated copy; `dialopt next` says what to pull now."
    return Said(did=f"The logbook {path} is whole.", next_step=step)


def copied_said(copy: Path) -> Said:
    """Where a copy is."""
    return Said(
        did=f"Copied the logbook to {copy}.", next_step="`dialopt restore` lists all copies, and goes back to one."
    )


def copies_said(state: State, logbook: Held | None, journal: Held | None, copies: Sequence[Held]) -> Said:
    """What there is to go back to. logbook: what it holds; None where something is wrong with it."""
    lines = tuple(f"  {it.path.name}  {held_words(it)}" for it in (*([journal] if journal else []), *copies))
    copy_usable = any(copy.problem is None for copy in copies)
    if state.sound:
        step = _GO_BACK if copy_usable else "`dialopt backup` makes a dated copy."
    elif journal is not None and journal.problem is None:
        step = _FROM_JOURNAL
    elif copy_usable:
        step = _FROM_LATEST
    else:
        step = "Move the file away to start a new logbook." if state.there else NEXT_STEP["grinder"]
    return Said(
        did=f"The logbook {logbook.path} is whole: {held_words(logbook)}." if logbook else state.why or "",
        lines=lines or ("  There is no journal and no dated copy yet.",),
        next_step=step,
    )


def no_journal(path: Path) -> str:
    """That there is none there."""
    return f"There is no journal {path}."


def no_copy(folder: Path, name: str | None = None) -> str:
    """That there is no copy of that name, or none at all that can be used."""
    if name is None:
        return f"There is no dated copy in {folder} that can be used."
    return f"There is no copy {name!r}, neither in {folder} nor by that path."


def restored_said(end: Restored) -> Said:
    """What was brought back, and what was lost."""
    lost, unfit, aside = end.logbook.missing, end.unfit, end.aside
    return Said(
        did=f"Restored the logbook from {end.source.name}: {held_words(end.logbook)}.",
        lines=rows(
            ("Lost", f"{counted(lost, 'line')} of the journal can't be read" if lost else None),
            ("Lost", f"{counted(unfit, 'row')} that rest on what can't be read" if unfit else None),
            ("Aside", f"what stood there before is kept as {aside}" if aside is not None else None),
        ),
        next_step="`dialopt pairings` and `dialopt shots` show what is there.",
    )


def held_words(it: Held) -> str:
    """What a logbook, a copy or a journal holds, or why it can't be used."""
    if it.problem is not None:
        return it.problem
    until = f", until {it.last_at:%Y-%m-%d %H:%M}" if it.last_at else ""
    missing = f"; {counted(it.missing, 'line')} can't be read" if it.missing else ""
    return f"{counted(it.shots, 'shot')} of {counted(it.pairings, 'pairing')}{until}{missing}"


def no_share_file(name: str) -> str:
    """That a share file is called otherwise."""
    return f"A share file ends in .json or .csv; {name!r} doesn't."


def shared_said(record: PairingRecord, recipe: GrinderIndependent, file: Path, *, whole: bool, notes: bool) -> Said:
    """That a dial-in was written. whole: with its shots."""
    content = f", its {counted(record.shots, 'shot')}, {'with' if notes else 'without'} the notes" if whole else ""
    back = "; `dialopt receive` reads it on another logbook." if whole else "; a FILE.json would read back."
    return Said(
        did=f"Wrote the dial-in of {record.pairing.title} to {file}{content}.",
        lines=grinder_independent_lines(recipe),
        next_step=f"send it beside the report{back}",
    )


def nothing_to_learn(name: str) -> str:
    """That a file has no shots."""
    return f"There is no shot in {name}, so nothing to learn from."


def received_said(
    pairing: Pairing,
    received: Received,
    recipe: GrinderIndependent | None,
    fresh: tuple[Freshness, Freshness] | None,
    carried: Sequence[str],
    next_step: str,
    *,
    beside_own: bool,
) -> Said:
    """What was taken in. recipe: their sweet spot. fresh: how old their beans were. beside_own: a pairing is in use."""
    return Said(
        did=f"Took in {_new_words(received)} of {pairing.title}, scored by {pairing.taster}, as pairing "
        f"{received.pairing_id}{'; yours stays in use' * beside_own}.",
        lines=(
            *_left_out_lines(received),
            *_gone_lines(received),
            *(("  Their sweet spot:", *grinder_independent_lines(recipe)) if recipe else ()),
            *rows(("Beans", _age_words(*fresh) if fresh else None)),
            *carried,
        ),
        next_step=next_step,
    )


def start_from_it(first_step: str) -> str:
    """How it becomes a head start where nothing is in use yet. first_step: on the way to a first shot."""
    return f"{first_step[:-1]}; then a pairing with that bean starts from it."


def own_pairing(bean: str) -> str:
    """How it becomes a head start where the bean in use is another."""
    return f"`dialopt pairing --bean {quote(bean)}` sets up your own pairing with it, which starts from it."


STARTS_FROM_IT = "`dialopt next` starts from it; your own shots soon overrule it."
OWN_TELL_MORE = "your own pairings with that bean tell more, so `dialopt next` goes by these; this one is kept."


def _new_words(received: Received) -> str:
    """What is new of it, e.g. "1 shot and 2 amended ones"."""
    counts = [counted(received.new, "shot")] if received.new or not received.amended else []
    if received.amended:
        counts.append(counted(received.amended, "amended one" if counts else "amended shot"))
    return joined(counts)


def _left_out_lines(received: Received) -> tuple[str, ...]:
    """Which of the shots that were sent another pairing holds."""
    if not received.elsewhere:
        return ()
    numbers = sorted(set(received.elsewhere))
    there, several = joined([str(number) for number in numbers]), len(numbers) > 1
    hold = f"pairings {there} hold" if several else f"pairing {there} holds"
    shots = counted(len(received.elsewhere), "shot")
    return (row("Left out", f"{shots} that {hold}: twice they would count twice"),)


def _gone_lines(received: Received) -> tuple[str, ...]:
    """Which shots aren't in what was sent any more, and how they are kept from counting here."""
    if not received.gone:
        return ()
    several = len(received.gone) > 1
    which = f"shot{'s' * several} {joined([str(number) for number in received.gone])}"
    are, them, first = ("are", "them", "the first") if several else ("is", "it", "it")
    keep = f"`dialopt amend {received.gone[0]} --fault other` keeps {first} from counting"
    return rows(
        ("Mind", f"{which} came from them before and {are} not in what they sent now; if they took {them} back,"),
        ("", f"`dialopt use {received.pairing_id}`, then {keep}"),
    )


def _age_words(first: Freshness, last: Freshness) -> str:
    same = first.days == last.days
    return f"pulled {counted(last.days, 'day') if same else f'{first.days} to {last.days} days'} off roast"
