"""How fresh the beans are, and what to expect of them for it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from dialopt.text.formats import counted
from dialopt.trade.freshness import BEST_DAYS, Freshness, freshness_span
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

_STAGES = {"young": "too early", "ready": "in the window", "fading": "fading"}
_ADVICE = {
    "young": f"young beans hold gas, which makes shots erratic, so wait until day {BEST_DAYS[0]} or expect noise",
    "ready": f"within the {BEST_DAYS[0]} to {BEST_DAYS[1]} days when beans behave best",
    "fading": f"past day {BEST_DAYS[1]} the aroma is likely going, so finish the bag soon",
}


def age_words(days: int) -> str:
    """An age.

    >>> age_words(12)
    '12 days off roast'
    """
    return f"{counted(days, 'day')} off roast"


def stage_words(fresh: Freshness) -> str:
    """The stage in a word or two, e.g. "in the window"."""
    return _STAGES[fresh.stage]


def freshness_advice(fresh: Freshness) -> str:
    """The stage, and what to expect and do (common practice), without a full stop."""
    return f"{_STAGES[fresh.stage]}{', ' if fresh.stage == 'ready' else '; '}{_ADVICE[fresh.stage]}"


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
    words = stage_words(last) if last.stage == "ready" else freshness_advice(last)
    return f"{age_words(last.days)} {'at the last shot' if dated else 'today'}: {words} (common practice)."


def roast_words(pairing: Pairing, shots: Sequence[Shot], today: date) -> str:
    """Roast and age of the beans while they were pulled."""
    bean = pairing.bean
    roast = f"{bean.roast} roast" if bean.roast else "roast not noted"
    if pairing.taster is not None:
        return f"{roast}, age not kept here"
    if bean.roasted_on is None:
        return f"{roast}, no roasting date"
    fresh = freshness_span(bean, shots, today)
    if fresh is None:
        return f"{roast}; its roasting date lies after the shots, so it is likely not one"
    first, last = fresh
    age = age_words(last.days) if first.days == last.days else f"{first.days} to {age_words(last.days)}"
    return f"{roast}, {age} ({stage_words(last)})"
