"""Why a report can be trusted, and how far: entries of a term and what is to be said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dialopt.engine.advice import Advice
from dialopt.engine.carried import carried
from dialopt.engine.counted import counted
from dialopt.logbook.records import Log
from dialopt.model.limits import with_a_say
from dialopt.report.hindsight import LEVEL, Look
from dialopt.text import trust
from dialopt.text.pairings import carried_words
from dialopt.text.palate import palate_sentences
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
    entries = {
        "On this bag": track_record(looks),
        "On simulated bags": trust.study_sentence(advice.sweet_spot.prob_near_optimal),
        "Counted": trust.counted_sentences(counted(advice.pairing, log)),
        "Taken for granted": trust.assumed_sentences(advice.gp_weight),
    }
    if advice.palate is not None:
        tastings = sum(shot.tasted for shot in log.values())
        entries["The palate"] = (
            f"Of whoever scored, 9 times in 10: {palate_sentences(advice.palate, tastings, earlier)}"
        )
    return {**entries, "Reading it": trust.READING}


def track_record(looks: Sequence[Look]) -> str:
    """How the predicted intervals did on this bag, in a sentence."""
    judged = [look.inside for look in looks if look.inside is not None]
    return trust.record_sentence(sum(judged), len(judged), LEVEL)


def sources(pairing: Pairing, earlier: Sequence[tuple[Pairing, Sequence[Shot]]]) -> tuple[Source, ...]:
    """The earlier pairings that had a say, and what each is trusted with here."""
    return tuple(
        Source(
            title=old.title,
            burrs=old.grinder.burrs,
            taster=old.taster,
            shots=len(shots),
            kept=carried_words(carried(old, pairing)),
        )
        for old, shots in with_a_say(earlier)
    )
