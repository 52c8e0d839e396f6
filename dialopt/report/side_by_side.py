"""Several pairings on one page: one HTML file without a script that needs nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby, pairwise
from pathlib import Path

from dialopt.engine.burr_change import BurrChange, is_change, moved
from dialopt.engine.carried import carried, with_a_say
from dialopt.engine.independent import difference
from dialopt.logbook.plain_values import data_hash
from dialopt.report.figures.figure import Table
from dialopt.report.figures.pairings import pairing_figures
from dialopt.report.page import track_record
from dialopt.report.sides import Shown, differences, ranked
from dialopt.report.template import rendered, template_text, write_page
from dialopt.text import pairings as words
from dialopt.text import report as page_words
from dialopt.text.beans import roast_words
from dialopt.text.cards import CardLine, progress_facts, side_card_lines, start_words
from dialopt.text.formats import percent, score_span
from dialopt.text.sweet_spot import missing_sentences, shape_sentences
from dialopt.trade.names import name_key


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One pairing among those shown. lines: its recipe. facts: what it rests on. notes: sentences on what to mind."""

    one: Shown
    kit: str
    lines: Sequence[CardLine]
    facts: Sequence[tuple[str, str]]
    notes: Sequence[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class NewBurrs:
    """Two pairings that differ by their burrs, and what is to be said of that."""

    before: Shown
    after: Shown
    sentences: Sequence[str]


def write_side_by_side(path: Path, shown: Sequence[Shown], *, now: datetime) -> None:
    """Writes the page on what `line_up` lined up, whole or not at all. Raises Refused if it can't be written."""
    write_page(path, compose(shown, now=now))


def compose(shown: Sequence[Shown], *, now: datetime) -> str:
    """The page's text."""
    ranking = ranked(shown)
    first = shown[ranking.leader or 0]
    found = differences(shown, first)
    untasted = [one.number for one in shown if not one.side.tasted]
    return rendered(
        "side_by_side.html",
        style=template_text("style.css") + template_text("side_by_side.css"),
        shown=shown,
        now=now,
        best=words.best_sentence(ranking),
        places=[
            (shown[place.number], score_span(shown[place.number].advice.sweet_spot.score), percent(place.chance))
            for place in ranking.places
        ],
        caveats=words.caveats([one.pairing for one in shown], untasted, ranking.tasters),
        tasters=words.TASTERS,
        cards=[_card(one, shown, now.date()) for one in shown],
        sides_note=page_words.SIDES_NOTE,
        first=first,
        differences_note=page_words.DIFFERENCES_NOTE,
        differences=words.difference_sentences(found),
        difference_table=Table(
            caption=f"Against {first.letter}: by how much, 90 % interval, and the chance of that direction",
            header=("what", "pairing", f"difference from {first.letter}", "chance"),
            rows=tuple(words.difference_row(one) for one in found),
        ),
        changes=burr_changes(shown),
        figures=pairing_figures(shown),
        method=page_words.SIDES_METHOD,
        tracks=[(one, track_record(one.looks), data_hash(one.shots)) for one in shown],
        care=page_words.care_sentences(milk=any(one.pairing.drink == "milk" for one in shown)),
    )


def _card(one: Shown, shown: Sequence[Shown], today: date) -> Card:
    pairing, burrs, letters = one.pairing, one.side.burrs, {other.pairing: other.letter for other in shown}
    others = [(other, letters.get(other)) for other, _ in with_a_say(one.side.earlier)]
    return Card(
        one=one,
        kit=words.kit_words(pairing),
        lines=side_card_lines(one.advice, one.free),
        facts=(
            *progress_facts(one.advice),
            ("Shots", words.shot_count_words(one.shots)),
            ("Burrs", f"{pairing.grinder.burrs}, {burrs.tally}" if burrs else pairing.grinder.burrs),
            ("Beans", roast_words(pairing, one.shots, today)),
            ("Based on", start_words(others, own=bool(one.shots))),
        ),
        notes=[*missing_sentences(one.shots), *shape_sentences(pairing, one.advice.sweet_spot)],
    )


def burr_changes(shown: Sequence[Shown]) -> list[NewBurrs]:
    """One for each time that a grinder got other burrs while the same bean was in use, in order of time."""
    changes = []
    kin = sorted(shown, key=_kin)
    for _, alike in groupby(kin, key=_kin):
        for before, after in pairwise(sorted(alike, key=_opened)):
            if is_change(before.pairing, after.pairing):
                sentences = words.burr_sentences(_burr_change(before, after))
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
