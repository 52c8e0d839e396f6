"""The card of one pairing among several: its recipe in terms that hold on any grinder, and what it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from dialopt.model.limits import with_a_say
from dialopt.report.card import CardLine
from dialopt.report.sides import Shown
from dialopt.text.beans import roast_words
from dialopt.text.formats import joined, odds, plain, score_span, setting, span
from dialopt.text.pairings import kit_words, shot_count_words
from dialopt.text.recipes import mark_words, recipe_words
from dialopt.text.sweet_spot import missing_sentences, shape_sentences
from dialopt.trade.grinder_independent import MARK_S


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """lines: the recipe. facts: names and what they are. notes: sentences on what to mind."""

    one: Shown
    kit: str
    lines: Sequence[CardLine]
    facts: Sequence[tuple[str, str]]
    notes: Sequence[str]


def card(one: Shown, shown: Sequence[Shown], today: date) -> Card:
    """The card of one among those shown."""
    advice, pairing, spot = one.advice, one.pairing, one.advice.sweet_spot
    return Card(
        one=one,
        kit=kit_words(pairing),
        lines=_lines(one),
        facts=(
            ("Close", odds(spot.prob_near_optimal)),
            ("Tests", "more won’t help much" if advice.settled else "another still pays"),
            *(() if advice.settled else (("Pull next", recipe_words(advice.next_recipe)),)),
            ("Shots", shot_count_words(one.shots)),
            ("Burrs", _burr_words(one)),
            ("Beans", roast_words(pairing, one.shots, today)),
            ("Goes by", _start_words(one, shown)),
        ),
        notes=[*missing_sentences(one.shots), *shape_sentences(pairing, spot)],
    )


def _lines(one: Shown) -> tuple[CardLine, ...]:
    free, steps = one.free, one.free.steps_finer_than_mark
    return (
        CardLine(
            name="Dose",
            value=plain(free.dose_g, 2),
            unit="g",
            hint=f"1:{plain(free.ratio, 2)}, stop at {plain(free.yield_g)} g",
        ),
        CardLine(name="Brew water", value=plain(free.temp_c, 2), unit="°C", hint=""),
        CardLine(
            name="Time",
            value=plain(free.time_s.mean, 0),
            unit="s",
            hint=f"one shot {span(free.time_s.low, free.time_s.high, digits=0)}",
        ),
        CardLine(name="Flow", value=plain(free.flow_g_s, 2), unit="g/s", hint="cup over time"),
        CardLine(
            name="Grind",
            value=setting("grind", one.advice.sweet_spot.recipe.grind),
            unit="",
            hint=f"no setting runs in {MARK_S:g} s" if steps is None else mark_words(steps),
        ),
        CardLine(name="Liking", value=plain(free.score.mean), unit="of 10", hint=f"within {score_span(free.score)}"),
    )


def _burr_words(one: Shown) -> str:
    name, burrs = one.pairing.grinder.burrs, one.side.burrs
    return name if burrs is None else f"{name}, {burrs.tally}"


def _start_words(one: Shown, shown: Sequence[Shown]) -> str:
    """The other pairings whose shots it goes by, too, by their letters where they are on the page."""
    here = {other.pairing: other.letter for other in shown}
    names = [
        here.get(pairing, f"{pairing.title} ({pairing.grinder.burrs})") for pairing, _ in with_a_say(one.side.earlier)
    ]
    return joined([*(["its own shots"] if one.shots else []), *names, "what is usual"])
