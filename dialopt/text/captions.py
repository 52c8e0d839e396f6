"""What stands over and under a picture: its title, what it shows, and how it is read."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.engine.advice import Estimate
from dialopt.text.formats import counted, joined, place, plain, setting
from dialopt.text.quantities import QuantityWords
from dialopt.text.recipes import finer_words, recipe_words, steps_words
from dialopt.trade.grinder_independent import MARK_S
from dialopt.trade.pairing import DIAL_WORDS, Pairing
from dialopt.trade.recipe import Recipe

_CLOSE = "that no other setting would be liked more by over half a point than the sweet spot of that moment."
MAP_KEY = (
    "Brighter is liked more; faded means little is known. The best setting is inside the solid line with a chance of "
    "50 %, inside the dashed line with 90 %. "
)
LIKING_KEY = (
    " Inner band: what isn't known yet; more shots narrow it. Outer band: the score of one cup, which varies with "
    "palate and puck as well; no number of shots narrows that."
)
PAPER_KEY = "Liking by one dial: the inner band is what isn't known yet, the outer one cup's score."
CHOKED_KEY = " A puck that choked is marked at the time at which it was given up."
SCORES_KEY = (
    "Bar: where the score was expected, 9 times in 10, from the shots before it; tick: the middle. A bar without a "
    "mark is a shot without a score."
)
SURENESS_KEY = f"Above: the chance {_CLOSE} Below: the liking there."
LEARNING_KEY = f"The chance {_CLOSE} What other pairings had shown lifts the start."


def dial_title(pairing: Pairing, name: str) -> str:
    """What stands along the axis of a dial."""
    return {
        "grind": f"grind setting ({finer_words(pairing)})",
        "dose_g": "dose, g",
        "temp_c": "brew water, °C",
        "ratio": "ratio, cup to dose",
    }[name]


def map_title(across: str, up: str) -> str:
    """Over a map of two dials.

    >>> map_title("grind", "temp_c")
    'Liking (of 10) by grind and temperature'
    """
    return f"Liking (of 10) by {DIAL_WORDS[across]} and {DIAL_WORDS[up]}"


def map_key(third: str, *, explain: bool) -> str:
    """How a map is read. third: the dial that it doesn't show. explain: all of it; a second map is read alike."""
    return f"{MAP_KEY if explain else ''}The lines and the shots are for any {DIAL_WORDS[third]}."


def map_caption(here: Recipe, third: str, crest: str, least: tuple[str, str], mean: float, sd: float) -> str:
    """What a map shows. crest: its sentence. least: the places, of both dials, where least is known."""
    return (
        f"At {place(third, getattr(here, third))}, {crest} Least is known at {least[0]} and {least[1]}: liking "
        f"{mean:.1f} ± {sd:.1f}."
    )


def crest_sentence(across: str, crest: tuple[float, float], up: str, ends: tuple[float, float]) -> str:
    """Where the likeliest best of one dial lies at both ends of another."""
    best = f"the best {DIAL_WORDS[across]} is most likely"
    if crest[0] == crest[1]:
        return f"{best} {setting(across, crest[0])} at both {place(up, ends[0])} and {setting(up, ends[1])}."
    return (
        f"{best} {setting(across, crest[0])} at {place(up, ends[0])} and {setting(across, crest[1])} at "
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


def least_known_sentence(name: str, at: float, low: float, high: float) -> str:
    """Where on a dial least is known. low, high: what the liking may be there."""
    return f"Least is known at {place(name, at)}, where liking may be anything from {low:.1f} to {high:.1f}."


def shot_time_key(others: str, *, choked: bool) -> str:
    """How the shot times are read. others: the settings of the other dials. choked: whether a shot choked."""
    return (
        f"Line and band are for {others}; shots of other doses and temperatures may lie off them. Log scale."
        f"{CHOKED_KEY if choked else ''}"
    )


def turn_sentence(steps: int, here_s: float, there_s: float, ends: Sequence[tuple[float, float]]) -> str:
    """What turning the grind does to the shot time. steps: finer. ends: of the dial, each grind with its time, s."""
    change = f"{'adds' if there_s > here_s else 'takes off'} about {plain(abs(there_s - here_s))} s"
    low, high = (f"{time_s:.0f} s at {place('grind', grind)}" for grind, time_s in ends)
    return f"From the sweet spot, going {steps_words(steps)} {change}. A shot takes {low} and {high}."


def one_time_sentence(here_s: float) -> str:
    """The same where the grind can't be turned."""
    return f"At the sweet spot a shot takes about {here_s:.0f} s."


def scores_caption(outside: Sequence[int], bars: Sequence[tuple[int, float]], *, judged: bool) -> str:
    """Which scores weren't as predicted, and how the bars shrank.

    outside: numbers of those off their bar. bars: of the first shot and the last, its number and the length of its bar.
    judged: whether any score could be.
    """
    sentence = off_bars_sentence(outside, judged=judged)
    if len(bars) < 2:
        return sentence
    (first, long), (last, short) = bars
    return f"{sentence} The bar was {long:.1f} points long at shot {first}, {short:.1f} at shot {last}."


def off_bars_sentence(outside: Sequence[int], *, judged: bool) -> str:
    """Which scores weren't as predicted. judged: whether any could be."""
    if not judged:
        return "No shot has a score that counts."
    if not outside:
        return "Every score that counts is on its bar."
    numbers = joined([str(number) for number in outside])
    return f"Shot {numbers} is off its bar." if len(outside) == 1 else f"Shots {numbers} are off their bars."


def last_only(shots: int) -> str:
    """Said where a picture leaves out older shots."""
    return f" Only the last {shots} shots are shown."


def sureness_caption(first: tuple[int, int], last: tuple[int, int], wide: tuple[Estimate, Estimate]) -> str:
    """How sure it was. first, last: shots pulled, and the chance in percent. wide: liking at the sweet spot, then."""
    before, after = (f"{liking.high - liking.low:.1f}" for liking in wide)
    (none, low), (some, high) = first, last
    return (
        f"The chance of being close went from {low} % after {counted(none, 'shot') if none else 'no shots'} to "
        f"{high} % after {counted(some, 'shot')}, the range of the liking at the sweet spot from {before} to {after} "
        "points."
    )


def next_shot_caption(good: int, dots: int, middle: tuple[float, float], liking: float, cup: float) -> str:
    """What the next shot may score. good: dots of 7 or more. middle: ends of the middle half. liking, cup: lengths of
    their 90 % intervals, points."""
    return (
        f"{good} of the {dots} dots are 7 or more; half of them lie between {middle[0]:.1f} and {middle[1]:.1f}. The "
        f"90 % range of this recipe's liking is {liking:.1f} points wide, that of one cup's score {cup:.1f}: the rest "
        "is palate and puck."
    )


def next_shot_key(recipe: Recipe) -> str:
    """How the dots are read."""
    return (
        f"For {recipe_words(recipe)}. Each dot is one of the equally likely scores, to the nearest half point. The bar "
        "is the liking: even if it were known exactly, the dots would still spread."
    )


def intervals_caption(words: QuantityWords, said: Sequence[tuple[str, str, str]]) -> str:
    """What pairings have of a quantity. said: of each its letter, value and 90 % interval."""
    each = "; ".join(f"{letter} {value} ({interval})" for letter, value, interval in said)
    return f"{words.title} with 90 % intervals, {words.scale or words.unit}: {each}."


def shot_times_caption(homes: Sequence[tuple[str, float, float]]) -> str:
    """The shot times of several pairings. homes: of each its letter, and the sweet spot's grind and time, s."""
    each = "; ".join(f"{letter} {time_s:.0f} s at {place('grind', grind)}" for letter, grind, time_s in homes)
    return f"Expected shot time over the grind, with the sweet spots marked: {each}."


def shot_times_key(*, shared: bool) -> str:
    """How the shot times of several pairings are read. shared: whether all are along one dial."""
    return f"Each at its sweet spot's dose and temperature. Log scale; the dashed line is {MARK_S:g} s. " + (
        "All share a dial: a line further to the right needs a finer grind for the same time."
        if shared
        else "The grinders' numbers mean different things, so steps are counted from where each runs in "
        f"{MARK_S:g} s. A step of one may be worth several of another: a steeper line has the larger steps."
    )


def shot_times_title(pairing: Pairing, *, shared: bool) -> str:
    """What stands along their axis. pairing: one of them."""
    if shared:
        return f"grind setting, finer to the right ({finer_words(pairing)})"
    return f"steps finer than the setting that runs in {MARK_S:g} s"


def learning_caption(said: Sequence[tuple[str, tuple[float, float], tuple[float, float]]]) -> str:
    """How sure each became. said: of each its letter, and shots pulled with the chance in percent, first and last."""
    each = "; ".join(
        f"{letter} from {low:.0f} % after {none:.0f} to {high:.0f} % after {some:.0f}"
        for letter, (none, low), (some, high) in said
    )
    return f"Chance that the sweet spot is within half a point of the best, by shots: {each}."
