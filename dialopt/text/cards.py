"""The recipe card of a pairing, by itself and beside others, and what sets several pairings apart."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from dialopt.engine.advice import Advice, PredictedOutcome
from dialopt.text.formats import fixed, joined, percent, plain, ratio_words, score_span, setting, settings_span, span
from dialopt.text.recipes import mark_words, recipe_words
from dialopt.trade.dial import Dial
from dialopt.trade.grinder_independent import MARK_S, GrinderIndependent
from dialopt.trade.pairing import Pairing

_PARTS: tuple[Callable[[Pairing], str], ...] = (
    lambda pairing: pairing.bean.name,
    lambda pairing: pairing.grinder.name,
    lambda pairing: pairing.grinder.burrs,
    lambda pairing: f"roasted {pairing.bean.roasted_on.isoformat()}" if pairing.bean.roasted_on else "no roasting date",
    lambda pairing: pairing.drink,
    lambda pairing: ratio_words(pairing.ratio),
    lambda pairing: pairing.water or "no water noted",
    lambda pairing: pairing.machine.name,
    lambda pairing: pairing.basket.name,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLine:
    """One line of a card. hint: the range, in words."""

    name: str
    value: str
    unit: str
    hint: str


def card_lines(
    advice: Advice, outcome: PredictedOutcome, whereabouts: Mapping[str, tuple[float, float]]
) -> tuple[CardLine, ...]:
    """Grind, dose, temperature, cup, time and score at the sweet spot.

    outcome: of one pull of it. whereabouts: of each dial, the range that holds the best setting 9 times in 10.
    """
    pairing, spot = advice.pairing, advice.sweet_spot
    recipe, dials, time_s = spot.recipe, advice.pairing.dials, outcome.time_s
    where = {name: _where(name, dial, *whereabouts[name]) for name, dial in dials.items()}
    ratio = f"{plain(pairing.ratio_of(recipe), 2)} times the dose"
    if not dials["ratio"].fixed:
        ratio += f", {where['ratio']}"
    return (
        CardLine(name="Grind", value=setting("grind", recipe.grind), unit="", hint=where["grind"]),
        CardLine(name="Dose", value=plain(recipe.dose_g, 2), unit="g", hint=where["dose_g"]),
        CardLine(name="Brew water", value=plain(recipe.temp_c, 2), unit="°C", hint=where["temp_c"]),
        CardLine(name="Stop at", value=plain(pairing.yield_g(recipe)), unit="g", hint=ratio),
        _time(time_s.mean, time_s.low, time_s.high),
        CardLine(name="Liking", value=fixed(spot.score.mean), unit="of 10", hint=score_span(spot.score)),
    )


def _time(mean: float, low: float, high: float) -> CardLine:
    return CardLine(name="Time", value=plain(mean, 0), unit="s", hint=f"one shot {span(low, high, digits=0)}")


def _where(name: str, dial: Dial, low: float, high: float) -> str:
    if dial.fixed:
        return "can't be changed"
    if low == high:
        return "hardly any doubt"
    if (low, high) == (dial.low, dial.high):
        return "the best may be anywhere"
    return f"best {settings_span(name, low, high)}"


def side_card_lines(advice: Advice, free: GrinderIndependent) -> tuple[CardLine, ...]:
    """The sweet spot beside others, in terms that hold on any grinder. free: it in these terms."""
    steps, cup = free.steps_finer_than_mark, f"1:{plain(free.ratio, 2)}, stop at {plain(free.yield_g)} g"
    mark = f"no setting runs in {MARK_S:g} s" if steps is None else mark_words(steps)
    return (
        CardLine(name="Dose", value=plain(free.dose_g, 2), unit="g", hint=cup),
        CardLine(name="Brew water", value=plain(free.temp_c, 2), unit="°C", hint=""),
        _time(free.time_s.mean, free.time_s.low, free.time_s.high),
        CardLine(name="Flow", value=fixed(free.flow_g_s, 2), unit="g/s", hint="cup over time"),
        CardLine(name="Grind", value=setting("grind", advice.sweet_spot.recipe.grind), unit="", hint=mark),
        CardLine(name="Liking", value=fixed(free.score.mean), unit="of 10", hint=score_span(free.score)),
    )


def progress_facts(advice: Advice) -> tuple[tuple[str, str], ...]:
    """How sure the sweet spot is, whether more tests help, and the next one where they do."""
    sure = ("Sure", percent(advice.sweet_spot.prob_near_optimal))
    if advice.settled:
        return sure, ("More tests", "won't help much")
    return sure, ("More tests", "still worth it"), ("Pull next", recipe_words(advice.next_recipe, advice.pairing))


def start_words(others: Sequence[tuple[Pairing, str | None]], *, own: bool) -> str:
    """What a pairing goes by. others: whose shots it was given, each with its letter on the page. own: any shots?"""
    names = [letter or f"{pairing.title} ({pairing.grinder.burrs})" for pairing, letter in others]
    return joined([*(["its own shots"] if own else []), *names, "what is usual"])


def labels(pairings: Sequence[Pairing]) -> list[str]:
    """What sets each apart, no more than it takes: the bean where only the beans differ, and so on."""
    labels = [""] * len(pairings)
    for part in _PARTS:
        if len(set(labels)) == len(labels):
            break
        said = [part(pairing) for pairing in pairings]
        if len(set(said)) > 1:
            labels = [", ".join(filter(None, pair)) for pair in zip(labels, said, strict=True)]
    return [label or pairing.title for label, pairing in zip(labels, pairings, strict=True)]
