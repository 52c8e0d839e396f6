"""The settings that a shot is taken to have where nobody said otherwise."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.logbook.book import Logbook
from dialopt.logbook.kept import KeptAdvice, KeptPairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """recipe: None when there is nothing to go by. source: where it comes from, in words.

    last: the shot pulled last. with_strength: whether strength was ever noted, so that it is worth asking for.
    """

    recipe: Recipe | None
    source: str
    last: Shot | None
    with_strength: bool


def suggestion(book: Logbook, kept: KeptPairing) -> Suggestion:
    """The recipe advised for this very shot; when a shot was logged since, or none was advised, the last shot's."""
    shots = book.shots(kept.id)
    last = shots[-1] if shots else None
    advised = fresh_advice(book, kept)
    recipe, source = None, "not known"
    if advised is not None:
        recipe, source = advised.next_recipe, "as advised"
    elif last is not None:
        recipe, source = last.recipe, "as in the shot before"
    return Suggestion(
        recipe=recipe, source=source, last=last, with_strength=any(shot.tds_pct is not None for shot in shots)
    )


def fresh_advice(book: Logbook, kept: KeptPairing) -> KeptAdvice | None:
    """The latest advice, if it saw all shots that stand now and its recipe is on the dials."""
    given, entries = book.advice_history(kept.id), book.entries(kept.id)
    if not given:
        return None
    latest, written = given[-1], max((entry.written_at for entry in entries), default=None)
    seen = (latest.shots_seen, latest.last_seen) == (len(entries), entries[-1].number if entries else 0)
    amended_since = written is not None and written > latest.given_at
    on_dials = all(dial.offers(getattr(latest.next_recipe, name)) for name, dial in kept.pairing.dials.items())
    return latest if seen and on_dials and not amended_since else None
