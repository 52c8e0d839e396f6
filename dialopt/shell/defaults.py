"""The settings that a shot is taken to have where nobody said otherwise."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.errors import NotFound
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import AdviceRecord, PairingRecord, in_turn
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


@dataclass(frozen=True, slots=True, kw_only=True)
class Defaults:
    """recipe: None when there is nothing to go by. source: where it comes from, in words.

    last: the shot pulled last. with_strength: whether strength was ever noted, so that it is worth asking for.
    """

    recipe: Recipe | None
    source: str
    last: Shot | None
    with_strength: bool


def defaults(book: Logbook, record: PairingRecord, *, best: bool = False) -> Defaults:
    """The recipe advised for this very shot; when a shot was logged since, or none was advised, the last shot's, or
    that of the last one that isn't far off the dials: a slip of the pen goes no further.

    best: the sweet spot as it was shown last. Raises NotFound when none was, or not on these dials.
    """
    # The dials were left at the shot pulled last, which isn't the one logged last where older ones were imported.
    shots = [entry.shot for entry in in_turn(book.entries(record.id))]
    last = shots[-1] if shots else None
    recipe, source = None, "not known"
    if best:
        recipe, source = _shown_best(book, record)
    elif (advised := _fresh_advice(book, record)) is not None:
        recipe, source = advised.next_recipe, "as advised"
    elif meant := record.pairing.meant(shots):
        recipe = meant[-1].recipe
        source = "as in the shot before" if meant[-1] is last else "as in the last shot that was on the dials"
    return Defaults(
        recipe=recipe, source=source, last=last, with_strength=any(shot.tds_pct is not None for shot in shots)
    )


def _fresh_advice(book: Logbook, record: PairingRecord) -> AdviceRecord | None:
    """The latest advice on what to pull, if it saw just the shots that stand now and its recipes are on the dials."""
    latest = book.latest_advice(record.id)
    if latest is None or not _is_fresh(book, record, latest):
        return None
    recipes = (latest.next_recipe, latest.sweet_spot_recipe)
    return latest if all(_on_dials(record, recipe) for recipe in recipes) else None


def _shown_best(book: Logbook, record: PairingRecord) -> tuple[Recipe, str]:
    """The sweet spot shown last, and where it comes from in words: a cup of it is drunk many times over."""
    latest = book.latest_advice(record.id, "sweet_spot")
    if latest is None or not _on_dials(record, latest.sweet_spot_recipe):
        missing = NotFound("No sweet spot was shown yet on these dials.")
        missing.add_note("`dialopt sweet-spot` shows it.")
        raise missing
    since = (
        "" if _is_fresh(book, record, latest) else f" as shown on {latest.given_at:%Y-%m-%d}, before the latest shots"
    )
    return latest.sweet_spot_recipe, f"of the sweet spot{since}"


def _is_fresh(book: Logbook, record: PairingRecord, advice: AdviceRecord) -> bool:
    return advice.rows_seen == tuple(entry.row for entry in in_turn(book.entries(record.id)))


def _on_dials(record: PairingRecord, recipe: Recipe) -> bool:
    return all(dial.offers(getattr(recipe, name)) for name, dial in record.pairing.dials.items())
