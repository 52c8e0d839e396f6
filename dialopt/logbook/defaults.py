"""The settings that a shot is taken to have where nobody said otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from dialopt.logbook.records import AdviceRecord, Entry, in_turn
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where settings come from. shown_at: of a sweet spot that was shown before the latest shots, when that was."""

    kind: Literal["advised", "shot_before", "last_on_dials", "sweet_spot"]
    shown_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Defaults:
    """recipe, source: None when there is nothing to go by.

    last: the shot pulled last. with_strength: whether strength was ever noted, so that it is worth asking for.
    """

    recipe: Recipe | None
    source: Source | None
    last: Shot | None
    with_strength: bool


def defaults(
    pairing: Pairing, entries: Sequence[Entry], latest: AdviceRecord | None, *, best: bool = False
) -> Defaults:
    """The recipe advised for this very shot; when a shot was logged since, or none was advised, the last shot's, or
    that of the last one that isn't far off the dials: a slip of the pen goes no further.

    entries: the pairing's live shots, in order of number. latest: the advice of which what is meant was shown last.
    best: the sweet spot is meant; a cup of it is drunk many times over, so it never grows stale.
    """
    # The dials were left at the shot pulled last, which isn't the one logged last where older ones were imported.
    shots = [entry.shot for entry in in_turn(entries)]
    last = shots[-1] if shots else None
    recipe, source = None, None
    saw_all = latest is not None and latest.rows_seen == tuple(entry.row for entry in in_turn(entries))
    if best:
        if latest is not None and not pairing.off_dial(latest.sweet_spot_recipe):
            recipe = pairing.noted(latest.sweet_spot_recipe)
            source = Source(kind="sweet_spot", shown_at=None if saw_all else latest.given_at)
    elif saw_all and latest and not any(map(pairing.off_dial, (latest.next_recipe, latest.sweet_spot_recipe))):
        recipe, source = pairing.noted(latest.next_recipe), Source(kind="advised")
    elif meant := pairing.meant(shots):
        recipe = meant[-1].recipe
        source = Source(kind="shot_before" if meant[-1] is last else "last_on_dials")
    strength = any(shot.tds_pct is not None for shot in shots)
    return Defaults(recipe=recipe, source=source, last=last, with_strength=strength)
