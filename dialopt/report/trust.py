"""Why a report may be believed, and how far: entries of a term and what is to be said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dialopt.engine.advice import Advice
from dialopt.engine.carried import carried, carried_words
from dialopt.engine.joined import joined
from dialopt.engine.palate_words import palate_sentences
from dialopt.logbook.records import Log
from dialopt.model.limits import LATEST, with_a_say
from dialopt.report.hindsight import Look, track_record
from dialopt.report.study import study_sentence
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """An earlier pairing that had a say.

    title, burrs: a person's words. taster: whose palate scored it, None for whoever keeps the logbook. shots: how many.
    kept: what and how far.
    """

    title: str
    burrs: str
    taster: str | None
    shots: int
    kept: str


def grounds(advice: Advice, log: Log, looks: Sequence[Look], earlier: bool) -> dict[str, str]:
    """What is to be told, by term, none of it in a person's own words. earlier: whether other pairings had a say."""
    told = {
        "On this bag": track_record(looks),
        "On simulated bags": study_sentence(advice.sweet_spot.prob_near_optimal),
        "Counted": _counted(advice.pairing, log),
        "Taken for granted": (
            "A finer grind, more coffee and cooler water slow the shot. Liking has one best degree of extraction and "
            "falls off to both sides, maybe steeply. Brew temperature matters less than grind. Balance notes say on "
            "which side of the best a cup fell. A palate repeats itself within about half a point to two points. "
            "About one puck in twelve is spoiled without anybody marking it, so that a single odd cup moves little. "
            "Beside this stands a second reckoning that takes none of it for granted; its say in this report is "
            f"{100 * advice.gp_weight:.0f} %."
        ),
    }
    if advice.palate is not None:
        tastings = sum(shot.tasted for shot in log.values())
        told["The palate"] = (
            f"Of whoever scored, 9 times in 10: {_lowered(palate_sentences(advice.palate, tastings, earlier))}"
        )
    told["Reading it"] = (
        "“Liking” is the score that this palate would give on average; a single cup's score scatters around it. "
        "“Close” is within half a point of the best. Ranges hold what they speak of with a chance of 9 in 10; those "
        "of the dials say where the best setting lies, each dial by itself."
    )
    return told


def sources(pairing: Pairing, earlier: Sequence[tuple[Pairing, Sequence[Shot]]]) -> tuple[Source, ...]:
    """The earlier pairings that had a say, and what each is trusted with here."""
    return tuple(
        Source(
            title=old.title,
            burrs=old.grinder.burrs,
            taster=old.taster,
            shots=len(told),
            kept=carried_words(carried(old, pairing)),
        )
        for old, told in with_a_say(earlier)
    )


def _counted(pairing: Pairing, log: Log) -> str:
    """What was read of the shots, and what wasn't and why."""
    import numpy as np

    from dialopt.model.observations import observe

    meant = pairing.meant(list(log.values()))
    table = observe(pairing, meant)
    tasted, timed = int(table.scored.sum()), int(np.sum(~np.isnan(table.log_time)))
    as_tastings = "1 as a tasting" if tasted == 1 else f"{tasted} as tastings"
    told = [f"Of {len(log)} shot{'s' * (len(log) != 1)}, {as_tastings} and {timed} for the shot clock."]
    slips = [f"shot {number}" for number, shot in log.items() if not pairing.may_be_meant(shot.recipe)]
    if len(table.score) < sum(shot.tells for shot in meant):
        told.append(f"Of more than {LATEST} the latest of every recipe is read first, then the one before it.")
    if slips:
        told.append(f"Not read, as far off the dials: {joined(slips)}.")
    faulty = [f"shot {number} ({shot.fault})" for number, shot in log.items() if shot.fault is not None]
    told.append(
        f"Not as a tasting: {joined(faulty)}, for the score of a faulty cup says more about the fault than about the "
        "recipe."
        if faulty
        else "No shot was left out for a fault."
    )
    return " ".join(told)


def _lowered(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]
