"""The settings that a shot is taken to have where nobody said otherwise."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.errors import NotFound
from dialopt.logbook.book import Logbook
from dialopt.logbook.kept import KeptAdvice, KeptPairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumed:
    """recipe: None when there is nothing to go by. source: where it comes from, in words.

    last: the shot pulled last. with_strength: whether strength was ever noted, so that it is worth asking for.
    """

    recipe: Recipe | None
    source: str
    last: Shot | None
    with_strength: bool


def assumed(book: Logbook, kept: KeptPairing, *, best: bool = False) -> Assumed:
    """The recipe advised for this very shot; when a shot was logged since, or none was advised, the last shot's.

    best: the sweet spot as it was shown since the last shot. Raises NotFound when it wasn't.
    """
    shots = book.shots(kept.id)
    last = shots[-1] if shots else None
    advised = fresh_advice(book, kept)
    recipe, source = None, "not known"
    if best:
        if advised is None:
            missing = NotFound("No sweet spot was shown since the last shot or the last change.")
            missing.add_note("`dialopt sweet-spot` shows it.")
            raise missing
        recipe, source = advised.sweet_spot_recipe, "of the sweet spot"
    elif advised is not None:
        recipe, source = advised.next_recipe, "as advised"
    elif last is not None:
        recipe, source = last.recipe, "as in the shot before"
    return Assumed(
        recipe=recipe, source=source, last=last, with_strength=any(shot.tds_pct is not None for shot in shots)
    )


def fresh_advice(book: Logbook, kept: KeptPairing) -> KeptAdvice | None:
    """The latest advice, if it saw just the shots that stand now, as they stand, and its recipes are on the dials."""
    latest = book.latest_advice(kept.id)
    if latest is None or latest.rows_seen != tuple(entry.row for entry in book.entries(kept.id)):
        return None
    on_dials = all(
        dial.offers(getattr(recipe, name))
        for recipe in (latest.next_recipe, latest.sweet_spot_recipe)
        for name, dial in kept.pairing.dials.items()
    )
    return latest if on_dials else None
