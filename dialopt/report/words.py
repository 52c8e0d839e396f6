"""Plain sentences: chances, ranges and dials in words, never surer than the numbers behind them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from dialopt.engine.advice import Advice, Estimate
from dialopt.engine.odds import odds
from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial, plain_setting
from dialopt.trade.freshness import Freshness, freshness, pulled_on
from dialopt.trade.pairing import DIAL_UNITS, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot, balance_word

_LIKELY = ((0.9, "very likely"), (0.7, "likely"), (0.6, "more likely than not"), (0.45, "a toss-up"))


def likely_word(chance: float) -> str:
    """A probability of 0.45 or more as a word.

    >>> likely_word(0.83), likely_word(0.5)
    ('likely', 'a toss-up')
    """
    return next(word for least, word in _LIKELY if chance >= least - 1e-9)


def sure_sentence(advice: Advice) -> str:
    """How sure it is that the sweet spot is good enough."""
    chance = advice.sweet_spot.prob_near_optimal
    if chance < 0.45:
        return (
            f"There may well be better: the chance is {odds(chance)} that no other setting on these dials would be "
            "liked more by over half a point."
        )
    return (
        f"It is {likely_word(chance)}, {odds(chance)}, that no other setting on these dials "
        "would be liked more by over half a point."
    )


def plain(value: float, digits: int = 1) -> str:
    """A number without idle zeros, with a true minus sign.

    >>> plain(18.0), plain(-0.25, 2)
    ('18', '−0.25')
    """
    text = f"{value:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text.replace("-", "−")


def setting(name: str, value: float) -> str:
    """A dial's setting with its unit.

    >>> setting("dose_g", 18.25), setting("grind", 12), setting("grind", 0.0005)
    ('18.25 g', '12', '0.0005')
    """
    # A grinder's numbers may be of any size; a hundredth of a gram or degree is as fine as anybody sets the others.
    return plain_setting(value).replace("-", "−") if name == "grind" else plain(value, 2) + DIAL_UNITS[name]


def settings_span(name: str, low: float, high: float) -> str:
    """A range of a dial, without its unit.

    >>> settings_span("grind", 0.001, 0.0025), settings_span("temp_c", 92, 92)
    ('0.001 to 0.0025', '92')
    """
    unit = DIAL_UNITS[name]
    first, last = (setting(name, value).removesuffix(unit) for value in (low, high))
    return first if first == last else f"{first} to {last}"


def span(low: float, high: float, unit: str = "", digits: int = 1) -> str:
    """A range from low to high; one number when both read the same.

    >>> span(17, 19.5, " g"), span(-2, -2)
    ('17 to 19.5 g', '−2')
    """
    first, last = plain(low, digits), plain(high, digits)
    return f"{first}{unit}" if first == last else f"{first} to {last}{unit}"


def score_span(score: Estimate) -> str:
    """The interval of a score, one decimal each.

    >>> score_span(Estimate(mean=7.2, low=6.31, high=8.02))
    '6.3 to 8.0'
    """
    return f"{score.low:.1f} to {score.high:.1f}"


def unbroken(text: str) -> str:
    r"""The text with each number kept on one line with its unit.

    >>> unbroken("18 g in 27 s") == "18\u00a0g in 27\u00a0s"
    True
    """
    return re.sub(r"(?<=\d) (?=(?:g|s|°C|%)(?!\w))", "\u00a0", text)


def recipe_words(recipe: Recipe) -> str:
    """The recipe in one line.

    >>> recipe_words(Recipe(grind=18, dose_g=18.5, temp_c=93))
    'grind 18, 18.5 g, 93 °C'
    """
    grind, dose, temp = (setting(name, getattr(recipe, name)) for name in DIAL_UNITS)
    return f"grind {grind}, {dose}, {temp}"


def balance_words(balance: float | None) -> str:
    """Which way a cup leant, empty when nothing was noted."""
    return "" if balance is None else balance_word(balance)


def finer_words(pairing: Pairing) -> str:
    """Which way the grind's numbers run."""
    return f"{'lower' if pairing.grinder.finer == 'down' else 'higher'} is finer"


def freshness_sentence(pairing: Pairing, shots: Sequence[Shot], today: date) -> str:
    """Days off roast at the last dated shot, or today when no shot has a date; says so when the bag has no date.

    Beans that are neither young nor fading need no advice, and get none.
    """
    roasted_on = pairing.bean.roasted_on
    if pairing.taster is not None:
        return f"They were pulled from a bag of {pairing.taster}'s, of which neither age nor size is kept here."
    if roasted_on is None:
        return "The roasting date wasn't noted, so how fresh the beans are isn't known."
    fresh, dated = freshness_span(pairing.bean, shots, today), any(shot.pulled_at is not None for shot in shots)
    if fresh is None:
        return (
            f"The roasting date, {roasted_on.isoformat()}, lies after {'the shots' if dated else 'today'}; it is "
            "likely not a roasting date."
        )
    _, last = fresh
    words = last.word if last.stage == "ready" else last.advice
    return f"{last.age} {'at the last shot' if dated else 'today'}: {words} (common practice)."


def freshness_span(bean: Bean, shots: Sequence[Shot], today: date) -> tuple[Freshness, Freshness] | None:
    """At the first and at the last dated shot, or today when none has a date.

    None without a roasting date and for one that lies after all of these.
    """
    dated = [shot for shot in shots if shot.pulled_at is not None]
    days = [day for shot in dated if (day := pulled_on(bean, shot)) is not None] if dated else [today]
    if bean.roasted_on is None or not days or min(days) < bean.roasted_on:
        return None
    return freshness(bean.roasted_on, min(days)), freshness(bean.roasted_on, max(days))


def dial_words(dial: Dial, unit: str = "") -> str:
    """A dial, e.g. "88 to 96 °C in steps of 1"."""
    if dial.fixed:
        return f"{plain_setting(dial.low)}{unit} only"
    low, high, step = (plain_setting(value) for value in (dial.low, dial.high, dial.step))
    return f"{low} to {high}{unit} in steps of {step}"


def missing_sentences(shots: Sequence[Shot]) -> list[str]:
    """What the log doesn't hold, and what that costs."""
    if not shots:
        return ["No shot has been logged yet: all that is shown is what is believed before the first shot."]
    missing = []
    if all(shot.fault is not None for shot in shots):
        missing.append("Every shot was marked with a fault, so none counts as a tasting of its recipe.")
    elif not any(shot.tasted for shot in shots):
        missing.append(
            "No shot has a score that counts, so liking rests on the clock, the notes and general knowledge."
        )
    if not any(shot.timed for shot in shots):
        missing.append("No shot has a time that counts, so the shot clock is a guess.")
    return missing
