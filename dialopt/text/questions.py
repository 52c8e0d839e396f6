"""What to ask about a shot that contradicts itself, the pairing or the shots before."""

from __future__ import annotations

from dialopt.text.formats import dial_ends, dial_words, exact, plain
from dialopt.trade.dial import Dial
from dialopt.trade.pairing import DIAL_UNITS, DIAL_WORDS
from dialopt.trade.plausibility import Question
from dialopt.trade.shot import balance_word

_SENTENCES = {
    "off_dial": "{name} {setting} isn't on the dial, {offers}; it is logged as you said.",
    "above_basket": "{name} {setting} is more than the basket takes, {ends}: a puck that touches the group's screen is "
    "disturbed, channels or chokes (common practice). It is logged as you said.",
    "below_basket": "{name} {setting} is less than the basket is made for, {ends}: a thin puck under much headroom "
    "runs fast and channels (common practice). It is logged as you said.",
    "swapped": "{yield_g} g in the cup from {dose_g} g of coffee: have the two changed places?",
    "fast_bitter": "It ran fast, {time_s} s, and tasted {taste}, while fast shots tend to be sour.",
    "slow_sour": "It ran slow, {time_s} s, and tasted {taste}, while slow shots tend to be bitter.",
    "yield": "{yield_g} g in the cup is far from the {target_g} g to stop at, ratio 1:{ratio}.",
    "score": "Score {score} and {taste} seldom go together.",
    "day": "{day} is before the beans were roasted, {roasted_on}; the shot is read, its day isn't.",
    "repeat": "Score {score} is far from the {usual} of the same recipe before.",
    "again": "The same figures as the shot before, and hardly any time between.",
    "choked_yet_fast": "It choked, while earlier shots make {likely_s} s likely at this grind.",
    "time": "{time_s} s is far from the {likely_s} s that earlier shots make likely at this grind.",
    "first_time": "{time_s} s is far from what is usual.",
    "channelled_yet_slow": "A channelled puck runs fast, and {time_s} s is far beyond the {likely_s} s that earlier "
    "shots make likely at this grind.",
    "first_channelled": "A channelled puck runs fast, and {time_s} s is far beyond what is usual.",
    "finer": "The finer the grind is said to be, the faster it ran, {grinds} grinds in a row: do the numbers of "
    "{grinder} run {finer} for finer?",
    "notes": "In {against} of {pairs} pairs of shots the longer one was noted as the more sour, while slow shots tend "
    "to be bitter. Sharp as lemon is sour, dry and harsh as burnt toast is bitter: have the two changed places?",
}


def question_sentence(question: Question) -> str:
    """What looks odd, in a sentence or two."""
    said: dict[str, str] = {}
    unit = DIAL_UNITS.get(question.about, "")
    for name, value in question.values.items():
        if isinstance(value, Dial):
            said |= {"offers": dial_words(value, unit), "ends": dial_ends(value, unit)}
        elif isinstance(value, str):
            said[name] = value
        elif name == "balance":
            said["taste"] = balance_word(value)
        elif name == "setting":
            said |= {"name": DIAL_WORDS[question.about].capitalize(), "setting": f"{exact(value)}{unit}"}
        else:
            said[name] = plain(value, 0 if name == "likely_s" else 2)
    return _SENTENCES[question.kind].format(**said)
