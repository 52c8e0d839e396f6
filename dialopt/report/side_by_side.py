"""Several pairings on one page: one HTML file without a script that needs nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby, pairwise
from pathlib import Path

from dialopt.engine.burr_change import BurrChange, is_change, moved
from dialopt.engine.carried import carried
from dialopt.engine.independent import difference
from dialopt.logbook.plain_values import data_hash
from dialopt.logbook.whole_file import write_whole
from dialopt.model.limits import with_a_say
from dialopt.report.figures.picture import Picture
from dialopt.report.figures.side_clocks import clock_pictures
from dialopt.report.figures.side_intervals import interval_pictures
from dialopt.report.figures.side_learning import learning_pictures
from dialopt.report.policy import policy
from dialopt.report.side_card import card
from dialopt.report.side_differences import differences, ranked
from dialopt.report.sides import Shown
from dialopt.report.tables import Table
from dialopt.report.template import rendered, template_text
from dialopt.report.trust import track_record
from dialopt.text.caffeine import limits_sentence
from dialopt.text.formats import percent, score_span
from dialopt.text.guidance import STOP_STEAMING
from dialopt.text.pairings import (
    TASTERS,
    best_sentence,
    burr_sentences,
    caveats,
    difference_row,
    difference_sentences,
)
from dialopt.trade.names import name_key


@dataclass(frozen=True, slots=True, kw_only=True)
class NewBurrs:
    """Two pairings that differ by their burrs, and what is to be said of that."""

    before: Shown
    after: Shown
    sentences: Sequence[str]


def write_side_by_side(path: Path, shown: Sequence[Shown], *, now: datetime) -> None:
    """Writes the page on what `line_up` lined up, whole or not at all. Raises Refused if it can't be written."""
    # Half a character, which a name may hold, has no place in a file.
    write_whole(path, compose(shown, now=now).encode("utf-8", "replace"))


def compose(shown: Sequence[Shown], *, now: datetime) -> str:
    """The page's text."""
    from markupsafe import Markup

    style = template_text("style.css") + template_text("side_by_side.css")
    ranking = ranked(shown)
    first = shown[ranking.leader or 0]
    found = differences(shown, first)
    milk = any(one.pairing.drink == "milk" for one in shown)
    return rendered(
        "side_by_side.html",
        policy=policy(scripts=[], styles=[style]),
        style=Markup(style),
        shown=shown,
        now=now,
        best=best_sentence(ranking),
        places=[
            (shown[place.number], score_span(shown[place.number].advice.sweet_spot.score), percent(place.chance))
            for place in ranking.places
        ],
        caveats=caveats(
            [one.pairing for one in shown],
            [one.number for one in shown if not one.side.tasted],
            ranking.tasters,
        ),
        tasters=TASTERS,
        cards=[card(one, shown, now.date()) for one in shown],
        first=first,
        differences=difference_sentences(found),
        difference_table=Table(
            caption=f"Against {first.letter}: by how much, 90 % interval, and the chance of that direction",
            header=("what", "pairing", f"difference from {first.letter}", "chance"),
            rows=tuple(difference_row(one) for one in found),
        ),
        changes=burr_changes(shown),
        pictures=pictures(shown),
        tracks=[(one, track_record(one.looks), data_hash(one.shots)) for one in shown],
        caffeine=limits_sentence(pregnant=False),
        milk=STOP_STEAMING if milk else None,
    )


def pictures(shown: Sequence[Shown]) -> tuple[Picture, ...]:
    """Those that make sense for these pairings, in reading order."""
    return (*interval_pictures(shown), *clock_pictures(shown), *learning_pictures(shown))


def burr_changes(shown: Sequence[Shown]) -> list[NewBurrs]:
    """One for each time that a grinder got other burrs while the same bean was in use, in order of time."""
    changes = []
    kin = sorted(shown, key=_kin)
    for _, alike in groupby(kin, key=_kin):
        for before, after in pairwise(sorted(alike, key=_opened)):
            if is_change(before.pairing, after.pairing):
                sentences = burr_sentences(_burr_change(before, after))
                changes.append(NewBurrs(before=before, after=after, sentences=sentences))
    return changes


def _burr_change(before: Shown, after: Shown) -> BurrChange:
    tasted = before.side.tasted and after.side.tasted
    inherits = any(pairing == before.pairing for pairing, _ in with_a_say(after.side.earlier))
    return BurrChange(
        old=before.pairing.grinder.burrs,
        new=after.pairing.grinder.burrs,
        moved=moved(before.advice, after.advice),
        timed=any(shot.timed for shot in after.shots),
        liking=difference(after.standing.liking, before.standing.liking) if tasted else None,
        time_s=difference(after.standing.time_s, before.standing.time_s),
        carried=carried(before.pairing, after.pairing) if inherits else None,
        same_bag=before.pairing.bean.is_bag_of(after.pairing.bean),
    )


def _kin(one: Shown) -> tuple[str, str]:
    return name_key(one.pairing.bean.name), name_key(one.pairing.grinder.name)


def _opened(one: Shown) -> tuple[datetime, int]:
    """When its burrs were put in, where that is known; else the order on the page tells."""
    return one.side.burrs.opened_at if one.side.burrs else datetime.min, one.number
