"""Several pairings on one page: one HTML file without a script that needs nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby, pairwise
from pathlib import Path

from dialopt.engine.burr_change import is_change, moved
from dialopt.logbook.plain_values import data_hash
from dialopt.logbook.whole_file import write_whole
from dialopt.report import side_words, words
from dialopt.report.burr_words import burr_sentences
from dialopt.report.figures.picture import Picture
from dialopt.report.figures.side_clocks import clock_pictures
from dialopt.report.figures.side_intervals import interval_pictures
from dialopt.report.figures.side_learning import learning_pictures
from dialopt.report.hindsight import track_record
from dialopt.report.policy import policy
from dialopt.report.side_card import card
from dialopt.report.side_differences import differences
from dialopt.report.sides import Shown
from dialopt.report.template import rendered, template_text
from dialopt.trade.caffeine import limits_sentence
from dialopt.trade.milk import STOP_STEAMING
from dialopt.trade.names import name_key


@dataclass(frozen=True, slots=True, kw_only=True)
class BurrChange:
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
    ranking = side_words.ranked(shown)
    first = ranking.leader or shown[0]
    sentences, table = differences(shown, first)
    milk = any(one.pairing.drink == "milk" for one in shown)
    return rendered(
        "side_by_side.html",
        policy=policy(scripts=[], styles=[style]),
        style=Markup(style),
        shown=shown,
        now=now,
        best=side_words.best_sentence(ranking),
        places=[
            (one, words.score_span(one.advice.sweet_spot.score), side_words.percent(chance))
            for one, chance in ranking.places
        ],
        caveats=side_words.caveats(shown, ranking),
        tasters=side_words.TASTERS,
        cards=[card(one, shown, now.date()) for one in shown],
        first=first,
        differences=sentences,
        difference_table=table,
        changes=burr_changes(shown),
        pictures=pictures(shown),
        tracks=[(one, track_record(one.looks), data_hash(one.shots)) for one in shown],
        caffeine=limits_sentence(pregnant=False),
        milk=STOP_STEAMING if milk else None,
    )


def pictures(shown: Sequence[Shown]) -> tuple[Picture, ...]:
    """Those that make sense for these pairings, in reading order."""
    return (*interval_pictures(shown), *clock_pictures(shown), *learning_pictures(shown))


def burr_changes(shown: Sequence[Shown]) -> list[BurrChange]:
    """One for each time that a grinder got other burrs while the same bean was in use, in order of time."""
    changes = []
    kin = sorted(shown, key=_kin)
    for _, alike in groupby(kin, key=_kin):
        for before, after in pairwise(sorted(alike, key=_opened)):
            if is_change(before.pairing, after.pairing):
                told = burr_sentences(before, after, moved(before.advice, after.advice))
                changes.append(BurrChange(before=before, after=after, sentences=told))
    return changes


def _kin(one: Shown) -> tuple[str, str]:
    return name_key(one.pairing.bean.name), name_key(one.pairing.grinder.name)


def _opened(one: Shown) -> tuple[datetime, int]:
    """When its burrs were put in, where that is known; else the order on the page tells."""
    return one.side.burrs.opened_at if one.side.burrs else datetime.min, one.number
