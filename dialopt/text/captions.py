"""What stands under a picture: what it shows, and how it is read."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.text.formats import joined, place, plain, setting
from dialopt.text.recipes import steps_words
from dialopt.trade.grinder_independent import MARK_S
from dialopt.trade.pairing import DIAL_WORDS

MAP_KEY = (
    "Brighter is liked more; where the colours fade, little is known. The best setting lies inside the solid line with "
    "a chance of about 1 in 2, inside the dashed line with about 9 in 10. "
)
PROFILE_KEY = (
    " The inner band is what isn't known yet: more shots narrow it. The dotted outer band adds how a palate and a puck "
    "vary from cup to cup, one puck in twelve going wrong: no number of shots narrows that."
)
CLOCK_KEY = "shots of other doses and temperatures may lie off them. Time is on a log scale."
CHOKED_KEY = " A puck that choked is marked at the time at which it was given up."
SHOTS_KEY = (
    "Each bar is where the score was expected, 9 times in 10, by the shots before it alone; its tick is the middle. A "
    "bar without a mark is a shot that has no score."
)
_CLOSE = "that no other setting would be liked more by over half a point than the sweet spot of that moment."
SURENESS_KEY = f"Above: the chance {_CLOSE} Below: the liking there."
LEARNING_KEY = f"The chance {_CLOSE} What other pairings had shown lifts the start."


def crest_sentence(across: str, crest: tuple[float, float], up: str, ends: tuple[float, float]) -> str:
    """Where the likeliest best of one dial lies at both ends of another."""
    best = f"the likeliest best {DIAL_WORDS[across]}"
    if crest[0] == crest[1]:
        return f"{best} is the same at {place(up, ends[0])} and {setting(up, ends[1])}."
    return (
        f"{best} goes from {setting(across, crest[0])} at {place(up, ends[0])} to {setting(across, crest[1])} at "
        f"{setting(up, ends[1])}."
    )


def good_range_sentence(name: str, first: float, last: float, *, whole: bool) -> str:
    """How exactly a dial has to be set. first, last: within half a point of the sweet spot. whole: all of it is."""
    if whole:
        return "The whole dial is expected to be within half a point of the sweet spot."
    if first == last:
        return "The next setting is already expected to be worse by over half a point."
    return (
        f"Anything from {place(name, first)} to {setting(name, last)} is expected to be within half a point of the "
        "sweet spot."
    )


def turn_sentence(steps: int, here_s: float, there_s: float, ends: Sequence[tuple[float, float]]) -> str:
    """What turning the grind does to the clock. steps: finer. ends: of the dial, each grind with its time, s."""
    change = f"{'adds' if there_s > here_s else 'takes off'} about {plain(abs(there_s - here_s))} s"
    low, high = (f"{time_s:.0f} s at {place('grind', grind)}" for grind, time_s in ends)
    return f"At the sweet spot going {steps_words(steps)} {change}. The ends of the dial: {low}, {high}."


def off_bars_sentence(outside: Sequence[int], *, judged: bool) -> str:
    """Which scores weren't as predicted. judged: whether any could be."""
    if not judged:
        return "No shot has a score that counts."
    if not outside:
        return "Every score that counts lies on its bar."
    numbers = joined([str(number) for number in outside])
    return f"Shot {numbers} lies off its bar." if len(outside) == 1 else f"Shots {numbers} lie off their bars."


def clocks_key(*, shared: bool) -> str:
    """How several clocks are read. shared: whether all are along one dial."""
    return (
        f"Each at its sweet spot's dose and temperature; seconds are on a log scale, the dashed level is {MARK_S:g} s. "
    ) + (
        "All share a dial: a line further to the right needs a finer grind for the same time."
        if shared
        else "The grinders' numbers mean different things, so steps are counted from where each runs in "
        f"{MARK_S:g} s. A step of one may be worth several of another: a steeper line has the larger steps."
    )
