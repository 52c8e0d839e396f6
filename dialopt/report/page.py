"""The report: one HTML file that needs nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from dialopt.engine.advice import Advice
from dialopt.engine.carried import carried, robust_weight, with_a_say
from dialopt.engine.counted import counted
from dialopt.engine.grinder_independent import grinder_independent
from dialopt.logbook.plain_values import case_values, data_hash
from dialopt.logbook.records import BurrSet, Log
from dialopt.report.figures.along_dial import liking_figure, shot_time_figure
from dialopt.report.figures.by_shot import next_shot_figure, scores_figure, sureness_figure
from dialopt.report.figures.figure import Figure
from dialopt.report.figures.map import map_figure
from dialopt.report.hindsight import LEVEL, Look, Progress, look_back
from dialopt.report.lattice import Lattice, lay_out
from dialopt.report.template import harmless, plotting, rendered, template_text, write_page
from dialopt.text import report as words
from dialopt.text import trust
from dialopt.text.beans import freshness_sentence
from dialopt.text.captions import PAPER_KEY
from dialopt.text.cards import card_lines
from dialopt.text.guidance import HOLD_STILL
from dialopt.text.palate import palate_sentences
from dialopt.text.recipes import recipe_words
from dialopt.text.sweet_spot import missing_sentences, shape_sentences, sure_sentence
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


def write_report(
    path: Path,
    *,
    pairing: Pairing,
    log: Log,
    advice: Advice,
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]] = (),
    burrs: BurrSet | None = None,
    now: datetime,
    notes: bool = False,
    progress: Progress | None = None,
) -> None:
    """Writes the report of a pairing, whole or not at all: a report that is there already stays until then.

    log: its shots. advice: what `advise` says of them. burrs: the tally of the grinder's burrs, where it is known.
    notes: whether personal notes go in. progress: called with the shots looked back on and how many there are. Raises
    Refused for a file that can't be written.
    """
    looks = look_back(pairing, log, earlier, seed=advice.seed, progress=progress)
    page = compose(
        pairing=pairing, log=log, advice=advice, earlier=earlier, burrs=burrs, now=now, notes=notes, looks=looks
    )
    write_page(path, page)


def compose(
    *,
    pairing: Pairing,
    log: Log,
    advice: Advice,
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]],
    burrs: BurrSet | None = None,
    now: datetime,
    notes: bool,
    looks: Sequence[Look],
) -> str:
    """The report's text."""
    from markupsafe import Markup

    read, shots = with_a_say(earlier), list(log.values())
    script, (source, packed) = template_text("draw.js"), plotting()
    lattice = lay_out(advice)
    pictures = figures(advice, log, lattice, looks)
    tally = burrs.tally if burrs else None
    return rendered(
        "page.html",
        style=template_text("style.css"),
        scripts=[script, source],
        script=Markup(script),
        plotting=Markup(packed),
        drawings=Markup(harmless({picture.name: _drawn(picture) for picture in pictures})),
        data=Markup(harmless(case_values(pairing, shots, notes=notes))),
        pairing=pairing,
        advice=advice,
        written=words.written_sentence(len(shots), now),
        card=card_lines(advice, advice.predict_outcome(advice.sweet_spot.recipe), lattice.whereabouts),
        sure=sure_sentence(advice.sweet_spot),
        minding=[*missing_sentences(shots), *shape_sentences(pairing, advice.sweet_spot)],
        next_recipe=recipe_words(advice.next_recipe, pairing),
        expect=words.expect_sentence(advice),
        bag=f"{freshness_sentence(pairing, shots, now.date())} {words.bag_sentence(advice)}",
        figures=pictures,
        paper_key=PAPER_KEY,
        rows=_rows(pairing, log, looks, notes),
        shots_note=words.SHOTS_NOTE,
        bench=words.bench_facts(pairing, grinder_independent(advice, shots), tally),
        hold_still=HOLD_STILL,
        grounds=grounds(advice, log, looks, any(same_name(other.taster, pairing.taster) for other, _ in read)),
        sources=[words.source_fact(old, len(of), carried(old, pairing)) for old, of in read],
        start=words.start_sentence(round(100 * robust_weight(pairing, [old for old, _ in read])), len(read)),
        made=f"dialopt {advice.version}, seed {advice.seed}, {now:%Y-%m-%d %H:%M}",
        hash=data_hash(shots),
        care=words.care_sentences(milk=pairing.drink == "milk"),
    )


def figures(advice: Advice, log: Log, lattice: Lattice, looks: Sequence[Look]) -> tuple[Figure, ...]:
    """The pictures that make sense for this pairing and log, in reading order."""
    free = [name for name, dial in advice.pairing.dials.items() if not dial.fixed]
    shown = {*free} & {*lattice.axes}
    maps = [pair for pair in (("grind", "ratio"), ("grind", "temp_c"), ("grind", "dose_g")) if set(pair) <= shown]
    if not maps and len(free) == 2:
        maps = [("dose_g", "temp_c")]
    return (
        *(map_figure(advice, log, lattice, *pair, explain=pair == maps[0]) for pair in maps),
        shot_time_figure(advice, log),
        *([scores_figure(looks)] if looks else []),
        *(liking_figure(advice, name, explain=name == free[0]) for name in free),
        next_shot_figure(advice),
        *([sureness_figure(advice, looks)] if looks else []),
    )


def _rows(pairing: Pairing, log: Log, looks: Sequence[Look], notes: bool) -> list[words.ShotRow]:
    predicted = {look.number: look.predicted.score for look in looks}
    missed = {look.number for look in looks if look.inside is False}
    return [
        words.shot_row(pairing, number, shot, predicted.get(number), missed=number in missed, notes=notes)
        for number, shot in log.items()
    ]


def _drawn(picture: Figure) -> dict[str, Any]:
    slider = picture.slider
    return {**picture.plot, "slider": slider and {"labels": slider.labels, "changes": slider.changes}}


def grounds(advice: Advice, log: Log, looks: Sequence[Look], earlier: bool) -> dict[str, str]:
    """Why it can be trusted, and how far, by term; none of it in a person's own words.

    earlier: whether other pairings of the same taster had a say.
    """
    entries = {
        "On this bag": track_record(looks),
        "On simulated bags": trust.study_sentence(advice.sweet_spot.prob_near_optimal),
        "What counted": trust.counted_sentences(counted(advice.pairing, log)),
        "Taken for granted": trust.assumed_sentences(advice.gp_weight),
    }
    if advice.palate is not None:
        tastings = sum(shot.tasted for shot in log.values())
        entries["The palate"] = words.palate_entry(palate_sentences(advice.palate, tastings, earlier))
    return {**entries, "Reading it": trust.READING}


def track_record(looks: Sequence[Look]) -> str:
    """How the predicted intervals did on this bag, in a sentence."""
    judged = [look.inside for look in looks if look.inside is not None]
    return trust.record_sentence(sum(judged), len(judged), LEVEL)
