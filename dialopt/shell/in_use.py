"""The pairing in use: what is still missing before there is one, and what must be said of one that isn't quite ours."""

from __future__ import annotations

from dataclasses import asdict
from shlex import quote
from typing import Any

from dialopt.errors import NotFound
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import BurrSet, Case, Evidence, LastPull, PairingRecord
from dialopt.shell.context import best_effort, if_known
from dialopt.text.recipes import recipe_words
from dialopt.text.terminal import count_words, pairing_words
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing

GRINDER = "`dialopt grinder NAME --grind LOW:HIGH:STEP --finer down` sets up the grinder."
CHOOSE = "`dialopt use KEY` chooses one of `dialopt pairings`."
KIT = "`dialopt kit` shows what is set up."
FIRST_SHOT = (
    "`dialopt prepare` says what to see to first, `dialopt next` what to pull, `dialopt sitting` leads you through."
)
FEW_TASTINGS = 3
"""From so many tastings of its own on, a pairing gains next to nothing by another one's (measured: reports/study)."""


def current(book: Logbook) -> PairingRecord:
    """The pairing in use. Raises NotFound, with what to do about it as its note."""
    try:
        return book.current()
    except NotFound as error:
        error.add_note(next_to_set_up(book))
        raise


def in_use(book: Logbook) -> PairingRecord | None:
    """The pairing in use, None when none was chosen yet."""
    return if_known(book.current)


def in_use_line(record: PairingRecord) -> str:
    """Which pairing is in use."""
    return f"  In use   pairing {record.id}, {pairing_words(record.pairing)}, {count_words(record.shots)}"


def next_to_set_up(book: Logbook) -> str:
    """The next step on the way to a first shot."""
    for there, step in (
        (book.grinders, GRINDER),
        (book.machines, "`dialopt machine NAME --temp LOW:HIGH:STEP` sets up the machine."),
        (book.baskets, "`dialopt basket NAME --dose LOW:HIGH:STEP` sets up the basket."),
        (book.beans, "`dialopt bean NAME --roasted-on DATE` sets up the bean."),
    ):
        if not there(at_most=1):
            return step
    if in_use(book) is None:
        # One that somebody else sent is a head start, nothing to pull with.
        own = any(record.pairing.taster is None for record in book.pairings())
        return CHOOSE if own else "`dialopt pairing` puts bean and kit together."
    return FIRST_SHOT


def after_saving(book: Logbook, kind: str, name: str) -> str:
    """What is sensible once a piece of kit or a bean was saved.

    A pairing keeps the version that it was set up with, so a change in what it uses wants a word.
    """
    return best_effort(KIT, _after_saving, book, kind, name)


def _after_saving(book: Logbook, kind: str, name: str) -> str:
    record = in_use(book)
    if record is not None:
        part, find = getattr(record.pairing, kind), getattr(book, kind)
        newest = find(name)
        if part != newest == find(part.name):
            return (
                f"pairing {record.id} keeps the old version; `dialopt pairing` starts a new bag with this one, "
                "`dialopt pairing --amend` corrects the pairing and keeps its shots."
            )
        if part != newest:
            return "`dialopt pairing` sets up a pairing with it."
    return next_to_set_up(book)


def others_kit_lines(record: PairingRecord) -> tuple[str, ...]:
    """That kit and scores are somebody else's, and how to go on with one's own; nothing for a pairing of one's own."""
    taster, bean = record.pairing.taster, quote(record.pairing.bean.name)
    if taster is None:
        return ()
    return (
        f"  Mind     kit and scores of this pairing are {taster}'s; `dialopt pairing --bean {bean}` sets up your own",
    )


def closed_burrs_lines(book: Logbook, record: PairingRecord) -> tuple[str, ...]:
    """That the grinder has had its burrs changed since the pairing was made, and how to go on with the new ones."""
    old, now = record.pairing.grinder, book.grinder(record.pairing.grinder.name)
    if same_name(old.burrs, now.burrs):
        return ()
    mind = f"  Mind     this is a pairing with the burrs {old.burrs}; {now.name} has {now.burrs} in it now"
    if record.pairing.taster is not None:
        return (mind,)
    named = f"--bean {quote(record.pairing.bean.name)} --grinder {quote(now.name)}"
    return (mind, f"           `dialopt pairing {named}` goes on with these")


def mind_lines(book: Logbook, record: PairingRecord) -> tuple[str, ...]:
    """Both, as far as the logbook can be read just now."""
    return (*others_kit_lines(record), *best_effort((), closed_burrs_lines, book, record))


def last_pull(book: Logbook, record: PairingRecord) -> LastPull | None:
    """The shot that went through these burrs last; None where they are out of the grinder by now."""
    return None if closed_burrs_lines(book, record) else book.last_pull(record.id)


def burr_set(book: Logbook, pairing: Pairing) -> BurrSet | None:
    """The burrs of a pairing and what went through them."""
    return next((it for it in book.burr_sets(pairing.grinder.name) if it.burrs == pairing.grinder.burrs), None)


def unread(case: Case) -> list[int]:
    """The numbers of shots that aren't read, as they lie far off the dials: what was asked about them stays open."""
    return [entry.number for entry in case.entries if not case.pairing.may_be_meant(entry.shot.recipe)]


def unread_lines(case: Case) -> tuple[str, ...]:
    """One for each, with what corrects it."""
    return tuple(
        f"  Unread   shot {number}, {recipe_words(case.log[number].recipe)}, lies far off the dials; "
        f"`dialopt amend {number}` corrects a slip of the pen"
        for number in unread(case)
    )


def carried_lines(evidence: Evidence | None) -> tuple[str, ...]:
    """What is kept of the most telling other pairing, and how far it is trusted.

    Nothing without another one, or once this one has tastings enough to go by. The model is woken only for that.
    """
    case = _telling(evidence)
    if evidence is None or case is None:
        return ()
    from dialopt.engine.carried import carried
    from dialopt.model.task_correlation import robust_weight
    from dialopt.text.pairings import carried_words

    more = len(evidence.read) - 1
    shots = count_words(len(case.shots))
    whence = f"pairing {case.pairing_id} ({case.pairing.title}, {case.pairing.grinder.burrs}, {shots})"
    open_share = robust_weight(evidence.pairing, [one.pairing for one in evidence.read])
    others = f", and from {more} other{'s' * (more != 1)}" if more else ""
    record = carried_words(carried(case.pairing, evidence.pairing))
    return (
        f"  Kept     from {whence}{others}: {record}; {100 * open_share:.0f} % of the start stays open in case it no "
        "longer holds, and your own shots soon overrule it",
    )


def carried_data(evidence: Evidence | None) -> dict[str, Any] | None:
    """The same for a program."""
    case = _telling(evidence)
    if evidence is None or case is None:
        return None
    from dialopt.engine.carried import carried

    return {
        "pairing": case.pairing_id,
        "title": case.pairing.title,
        "burrs": case.pairing.grinder.burrs,
        "shots": len(case.shots),
        "other_pairings": len(evidence.read) - 1,
        "parts": [asdict(part) for part in carried(case.pairing, evidence.pairing)],
    }


def _telling(evidence: Evidence | None) -> Case | None:
    if evidence is None or not evidence.read or sum(shot.tasted for shot in evidence.shots) >= FEW_TASTINGS:
        return None
    return evidence.read[0]
