"""The report: one HTML file that needs nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from dialopt.engine.advice import Advice
from dialopt.engine.grinder_independent import grinder_independent
from dialopt.logbook.plain_values import case_values, data_hash
from dialopt.logbook.records import BurrSet, Log
from dialopt.logbook.whole_file import write_whole
from dialopt.model.limits import with_a_say
from dialopt.report.bundle import bundle
from dialopt.report.card import card_lines
from dialopt.report.data import harmless
from dialopt.report.figures.clock import clock_figure
from dialopt.report.figures.figure import Figure
from dialopt.report.figures.map import map_figure
from dialopt.report.figures.next_shot import next_shot_figure
from dialopt.report.figures.profile import profile_figure
from dialopt.report.figures.shots import shots_figure
from dialopt.report.figures.sureness import sureness_figure
from dialopt.report.hindsight import Look, Progress, look_back
from dialopt.report.lattice import Lattice, lay_out
from dialopt.report.policy import policy
from dialopt.report.tables import shot_rows
from dialopt.report.template import rendered, template_text
from dialopt.report.trust import grounds, sources
from dialopt.text.beans import freshness_sentence
from dialopt.text.caffeine import SPECIES_WORDS, limits_sentence
from dialopt.text.formats import dial_words, plain, score_span, span
from dialopt.text.guidance import HOLD_STILL, STOP_STEAMING
from dialopt.text.recipes import finer_words, recipe_words
from dialopt.text.sweet_spot import missing_sentences, shape_sentences, sure_sentence
from dialopt.trade.freshness import BEST_DAYS
from dialopt.trade.names import same_name
from dialopt.trade.pairing import DIAL_UNITS, Pairing
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
    # Half a character, which a name may hold, has no place in a file.
    write_whole(path, page.encode("utf-8", "replace"))


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

    from dialopt.model.task_correlation import robust_weight

    read, shots = with_a_say(earlier), list(log.values())
    style, script = template_text("style.css"), template_text("draw.js")
    plotting = bundle()
    lattice = lay_out(advice)
    pictures = figures(advice, log, lattice, looks)
    return rendered(
        "page.html",
        policy=policy(scripts=[script, plotting.source], styles=[style]),
        style=Markup(style),
        script=Markup(script),
        plotting=Markup(plotting.packed),
        drawings=Markup(harmless({picture.name: _drawn(picture) for picture in pictures})),
        data=Markup(harmless(case_values(pairing, shots, notes=notes))),
        pairing=pairing,
        advice=advice,
        now=now,
        card=card_lines(advice, lattice),
        sure=sure_sentence(advice.sweet_spot),
        next_recipe=recipe_words(advice.next_recipe),
        next_stop=plain(pairing.yield_g(advice.next_recipe)),
        next_time=span(advice.expected.time_s.low, advice.expected.time_s.high, " s", digits=0),
        next_score=score_span(advice.expected.score),
        shape=shape_sentences(pairing, advice.sweet_spot),
        missing=missing_sentences(shots),
        freshness=freshness_sentence(pairing, shots, now.date()),
        finer=finer_words(pairing),
        dials={name: dial_words(dial, DIAL_UNITS[name]) for name, dial in pairing.dials.items()},
        tally=burrs and burrs.tally,
        best_days=BEST_DAYS,
        anywhere=grinder_independent(advice, shots),
        hold_still=HOLD_STILL,
        milk=STOP_STEAMING if pairing.drink == "milk" else None,
        caffeine=limits_sentence(pregnant=False),
        species_words=SPECIES_WORDS,
        figures=pictures,
        rows=shot_rows(pairing, log, looks, notes=notes),
        shot_count=len(shots),
        grounds=grounds(advice, log, looks, any(same_name(other.taster, pairing.taster) for other, _ in read)),
        sources=sources(pairing, earlier),
        untold_pct=round(100 * robust_weight(pairing, [other for other, _ in read])),
        hash=data_hash(shots),
    )


def figures(advice: Advice, log: Log, lattice: Lattice, looks: Sequence[Look]) -> tuple[Figure, ...]:
    """The pictures that make sense for this pairing and log, in reading order."""
    free = [name for name, dial in advice.pairing.dials.items() if not dial.fixed]
    maps = [pair for pair in (("grind", "temp_c"), ("grind", "dose_g")) if set(pair) <= set(free)]
    if not maps and len(free) == 2:
        maps = [("dose_g", "temp_c")]
    pictures = [map_figure(advice, log, lattice, *pair, explain=pair == maps[0]) for pair in maps]
    pictures.append(clock_figure(advice, log))
    if looks:
        pictures.append(shots_figure(looks))
    pictures += [profile_figure(advice, name, explain=name == free[0]) for name in free]
    pictures.append(next_shot_figure(advice))
    if looks:
        pictures.append(sureness_figure(advice, looks))
    return tuple(pictures)


def _drawn(picture: Figure) -> dict[str, Any]:
    slider = picture.slider
    return {
        **picture.plot,
        "slider": None if slider is None else {"labels": slider.labels, "changes": slider.changes},
    }
