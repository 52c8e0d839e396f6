"""The pairing in use: what is still missing before there is one, and what must be said of one that isn't quite ours."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from dialopt.errors import NotFound
from dialopt.logbook import set_up
from dialopt.logbook.book import Logbook
from dialopt.logbook.defaults import Defaults, defaults
from dialopt.logbook.records import BurrSet, Evidence, LastPull, PairingRecord
from dialopt.logbook.second_look import second_look
from dialopt.logbook.set_up import in_use as in_use
from dialopt.shell.context import best_effort, noted
from dialopt.text import setting_up
from dialopt.text import terminal as words
from dialopt.text.log import NO_SWEET_SPOT, SHOW_SWEET_SPOT
from dialopt.trade.kit import Grinder
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.plausibility import Question

FIRST_SHOT = setting_up.NEXT_STEP["shot"]


def current(book: Logbook) -> PairingRecord:
    """The pairing in use. Raises NotFound, with what to do about it as its note."""
    try:
        return book.current()
    except NotFound as error:
        error.add_note(next_to_set_up(book))
        raise


def next_to_set_up(book: Logbook) -> str:
    """The next step on the way to a first shot."""
    return setting_up.NEXT_STEP[set_up.missing(book)]


def after_saving(book: Logbook, kind: str, name: str) -> str:
    """What is sensible once a piece of kit or a bean was saved, which may change what the pairing in use has."""
    return best_effort(setting_up.KIT, _after_saving, book, kind, name)


def _after_saving(book: Logbook, kind: str, name: str) -> str:
    record = in_use(book)
    use = set_up.use_of(book, record, kind, name) if record else "as_saved"
    if record is not None and use == "older":
        return setting_up.older_version(record.id)
    return setting_up.ANOTHER if use == "another" else next_to_set_up(book)


def mind_lines(book: Logbook, record: PairingRecord) -> tuple[str, ...]:
    """What isn't one's own, and burrs that were changed since, as far as the logbook can be read just now."""
    return (
        *words.others_kit_lines(record.pairing),
        *words.closed_burrs_lines(record.pairing, best_effort(None, _burrs_changed, book, record)),
    )


def last_pull(book: Logbook, record: PairingRecord) -> LastPull | None:
    """The shot that went through these burrs last; None where they are out of the grinder by now."""
    return book.last_pull(record.id) if _burrs_changed(book, record) is None else None


def _burrs_changed(book: Logbook, record: PairingRecord) -> Grinder | None:
    """The grinder as it is now, where its burrs have been changed since the pairing was made; else None."""
    now = book.grinder(record.pairing.grinder.name)
    return None if same_name(record.pairing.grinder.burrs, now.burrs) else now


def burr_set(book: Logbook, pairing: Pairing) -> BurrSet | None:
    """The burrs of a pairing and what went through them."""
    return next((it for it in book.burr_sets(pairing.grinder.name) if it.burrs == pairing.grinder.burrs), None)


def looked_at(book: Logbook, record: PairingRecord, numbers: list[int]) -> list[tuple[int, Question]]:
    """The questions about shots of these numbers."""
    advised = book.latest_advice(record.id, "next")
    return second_look(record.pairing, book.entries(record.id), numbers, advised)


def taken_settings(book: Logbook, record: PairingRecord, *, best: bool = False) -> Defaults:
    """The settings that a shot is taken to have where nobody says otherwise; with best, those of the sweet spot.

    Raises NotFound for a sweet spot that was never shown, or not on these dials.
    """
    latest = book.latest_advice(record.id, "sweet_spot" if best else "next")
    found = defaults(record.pairing, book.entries(record.id), latest, best=best)
    if best and found.recipe is None:
        raise noted(NotFound(NO_SWEET_SPOT), SHOW_SWEET_SPOT)
    return found


def carried_lines(evidence: Evidence | None) -> tuple[str, ...]:
    """What is kept of the most telling other pairing, and how far it is trusted. The model is woken only for that."""
    if evidence is None or (case := evidence.telling) is None:
        return ()
    from dialopt.engine.carried import carried
    from dialopt.model.task_correlation import robust_weight
    from dialopt.text.pairings import carried_line

    left_open = robust_weight(evidence.pairing, [one.pairing for one in evidence.read])
    return (carried_line(case, len(evidence.read) - 1, carried(case.pairing, evidence.pairing), left_open),)


def carried_data(evidence: Evidence | None) -> dict[str, Any] | None:
    """The same for a program."""
    if evidence is None or (case := evidence.telling) is None:
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
