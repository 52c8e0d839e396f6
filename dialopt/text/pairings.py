"""Several pairings: which did best, where they differ, what new burrs did, and what one took over from another."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from dialopt.logbook.records import Case
from dialopt.text.formats import (
    CLEAR,
    LETTERS,
    TELLS,
    counted,
    dial_ends,
    difference_words,
    estimate_words,
    joined,
    odds,
    span,
    turned,
)
from dialopt.text.quantities import QUANTITY_WORDS
from dialopt.text.said import row
from dialopt.text.terminal import count_words
from dialopt.trade.grinder_independent import MARK_S
from dialopt.trade.pairing import DIAL_UNITS, Pairing
from dialopt.trade.shot import Shot

if TYPE_CHECKING:
    from dialopt.engine.burr_change import BurrChange, Moved
    from dialopt.engine.carried import Carried
    from dialopt.engine.independent import Against, Difference, Ranked

TASTERS = (
    "Scores compare only where one person gave them all: another taster's 7 may be a worse cup than this one's 6. "
    "Where tasters differ, go by time, flow and temperature, not by liking."
)
_BEST = {"best_time": "time", "best_dose": "dose", "best_temp": "temperature", "best_ratio": "ratio"}
_REST = {"clock": "which grind gives which time", "step": "what a step of grind does", "palate": "your palate"}


def carried_words(parts: Sequence[Carried]) -> str:
    """What is taken over, e.g. "your palate (about half), which grind gives which time (a little)"."""
    phrases = []
    for trust, group in groupby(parts, key=lambda one: one.trust):
        alike = list(group)
        best = [_BEST[one.part] for one in alike if one.part in _BEST]
        rest = [
            _REST[one.part] if one.own_palate or one.part != "palate" else "the other taster's palate"
            for one in alike
            if one.part in _REST
        ]
        names = [f"the best cup's {joined(best)}", *rest] if best else rest
        phrases.append(f"{joined(names)} ({trust})")
    return ", ".join(phrases)


def carried_line(case: Case, others: int, parts: Sequence[Carried], left_open: float) -> str:
    """What a new pairing keeps of another one. others: how many more it goes by. left_open: share of the start, 0–1."""
    whence = f"{case.pairing.title}, {case.pairing.grinder.burrs}, {count_words(len(case.shots))}"
    more = f", and from {counted(others, 'other')}" if others else ""
    return row(
        "Kept",
        f"from pairing {case.pairing_id} ({whence}){more}: {carried_words(parts)}; {100 * left_open:.0f} % of the "
        "start stays open in case it no longer holds, and your own shots soon overrule it",
    )


def best_sentence(ranking: Ranked) -> str:
    """Which did best, and how sure that is."""
    if ranking.tasters > 1:
        return f"They were scored by {ranking.tasters} people, so their scores can't tell which is best."
    if not ranking.places:
        return "None of them has been tasted yet, so nothing can be said of which is best."
    first = ranking.places[0]
    name = LETTERS[first.number]
    if ranking.leader is None:
        return (
            f"Only {name} has been tasted so far, so nothing can be said of which is best: "
            f"what is shown of {'the other' if ranking.shown == 2 else 'the others'} is predicted."
        )
    second = LETTERS[ranking.places[1].number]
    others = "all the others'"
    if len(ranking.places) == 2:
        others = "the other's" if ranking.shown == 2 else f"that of {second}"
    going_by = f"going by {counted(first.tasted, 'tasting')} of it"
    if first.chance >= TELLS:
        looks = "looks best" if first.chance >= CLEAR else "is ahead so far"
        return f"{name} {looks}: the chance is {odds(first.chance)} that its sweet spot beats {others}, {going_by}."
    return (
        f"Too close to call: {name} leads, but the chance is only {odds(first.chance)} that its sweet spot beats "
        f"{others}, {going_by}; next comes {second}."
    )


def caveats(pairings: Sequence[Pairing], untasted: Sequence[int], tasters: int) -> list[str]:
    """What makes this comparison less than plain. untasted: numbers. tasters: how many people scored them."""
    sentences = []
    if untasted and tasters:
        sentences.append(
            f"Not tasted yet: {_letters(untasted)}. What is shown of {'it' if len(untasted) == 1 else 'them'} is "
            "predicted from what is usual and from other pairings, and takes no part in the ranking."
        )
    if len({pairing.drink for pairing in pairings}) > 1:
        sentences.append("Some were scored straight and some in milk; those scores are of different drinks.")
    if len({pairing.ratio for pairing in pairings}) > 1:
        sentences.append("They were pulled to different ratios, which by itself moves time and strength.")
    if len({pairing.water for pairing in pairings}) > 1:
        sentences.append("They were brewed with different water, which moves the taste.")
    for name, dial in (("Brew water", "temp_c"), ("Dose", "dose_g")):
        offered = [dial_ends(pairing.dials[dial], DIAL_UNITS[dial]) for pairing in pairings]
        if len(set(offered)) > 1:
            each = "; ".join(f"{letter} {what}" for letter, what in zip(LETTERS, offered, strict=False))
            sentences.append(f"{name}: the best could be sought among different settings only ({each}).")
    return sentences


def shot_count_words(shots: Sequence[Shot]) -> str:
    """How many shots there are, and how many of them were faulty."""
    count, faults = len(shots), sum(shot.fault is not None for shot in shots)
    if not count:
        return "none yet: all of this is predicted"
    tasted = sum(shot.tasted for shot in shots)
    return f"{count}, {tasted} tasted, " + (f"{faults} with a fault" if faults else "no fault marked")


def kit_words(pairing: Pairing) -> str:
    """What it was brewed on and how it is drunk."""
    kit = [pairing.grinder.name, pairing.machine.name, pairing.basket.name]
    water = [f"water: {pairing.water}"] if pairing.water else []
    return ", ".join([*kit, *water, "straight" if pairing.drink == "straight" else "with milk"])


def difference_sentences(found: Sequence[Against]) -> list[str]:
    """A sentence for each quantity in which something is clear, then what isn't. found: in the order of quantities."""
    sentences, unclear, compared = list[str](), list[str](), list[str]()
    for quantity, group in groupby(found, key=lambda one: one.quantity):
        words, alike = QUANTITY_WORDS[quantity], list(group)
        clear = [said for one in alike if (said := _clear(one))]
        if clear:
            sentences.append(f"{words.name}: {'; '.join(clear)}.")
        whys: dict[str, list[int]] = {}
        for one in alike:
            if one.difference is None:
                whys.setdefault(_why_not(one), []).append(one.number)
        if whys:
            each = "; ".join(f"{_letters(who)} not compared, as {why}" for why, who in whys.items())
            unclear.append(f"{words.name}: {each}.")
        if any(one.difference for one in alike):
            compared.append(words.name.lower())
    noise = (
        "Whatever isn't named here may be noise."
        if sentences
        else f"No difference is clear yet in {joined(compared, 'or')}: what looks like one may be noise."
    )
    return [*sentences, noise, *unclear]


def difference_row(found: Against) -> tuple[str, str, str, str]:
    """The quantity, the pairing, the difference with its interval, and the chance of that direction."""
    words, letter = QUANTITY_WORDS[found.quantity], LETTERS[found.number]
    if found.difference is None:
        return words.name, letter, "not compared", _why_not(found)
    by = f"{difference_words(found.difference.by, words.digits)} {words.unit}"
    surer, word = _direction(found.difference.chance_more, (words.more, words.less))
    return words.name, letter, by, f"{word}: {odds(surer)}" if surer >= TELLS else "either way"


def _clear(found: Against) -> str:
    """What sets it apart, where that is clear; else empty."""
    words, difference = QUANTITY_WORDS[found.quantity], found.difference
    if difference is None:
        return ""
    surer, word = _direction(difference.chance_more, (words.more, words.less))
    if surer < CLEAR:
        return ""
    by = difference.by if difference.chance_more >= 0.5 else turned(difference.by)
    return (
        f"{LETTERS[found.number]} {word} by {estimate_words(by, words.digits, f' {words.unit}')}, chance {odds(surer)}"
    )


def _why_not(found: Against) -> str:
    return {
        "other_taster": "it was scored by somebody else",
        "fixed": f"it can't be set for {_letters(found.fixed)}",
        "no_common": "hardly any setting is common to both",
    }[found.why_not or "no_common"]


def burr_sentences(change: BurrChange) -> list[str]:
    """What new burrs did to the clock and to the cup, and what the new set started from."""
    old, new = change.old, change.new
    sentences = [moved_sentence(change.moved, old, new)]
    if not change.timed:
        sentences.append(f"No shot was timed with {new} yet, so that is a guess.")
    if change.liking is not None:
        liking = _against(change.liking, ("higher", "lower"), 1)
        sentences.append(f"Liking at the sweet spot with {new} against {old}: {liking} points.")
    else:
        sentences.append("Whether the cup tastes different can be said once both were tasted.")
    sentences.append(f"Time of the best cup: {_against(change.time_s, ('longer', 'shorter'), 0)} s.")
    if change.carried is not None:
        sentences.append(
            f"Carried over to {new}: {carried_words(change.carried)}. That is where it "
            "started, so with few shots the two are alike by assumption."
        )
    if not change.same_bag:
        sentences.append("The bag was another one of the same beans, so age and roast may have a share in all this.")
    return sentences


def moved_sentence(move: Moved | None, old: str, new: str) -> str:
    """How far the clock moved. old, new: the burr sets."""
    if move is None:
        return "How far the clock moved can't be counted in steps: the grind can't be set, or its numbers changed too."
    steps = move.steps
    was, now = estimate_words(move.before), estimate_words(move.after)
    where = f"{MARK_S:g} s took grind {was} with {old} and takes {now} with {new}, at the same dose and temperature"
    surer, word = _direction(move.chance_finer, ("finer", "coarser"))
    if surer < CLEAR:
        return (
            f"Which way the clock moved isn't clear, {difference_words(steps, 0)} steps finer, 9 times in 10: {where}."
        )
    far = steps if word == "finer" else turned(steps)
    size = counted(abs(steps.mean), "step")
    return f"The clock moved about {size} {word} ({span(far.low, far.high, digits=0)}, 9 times in 10): {where}."


def _against(difference: Difference, words: tuple[str, str], digits: int) -> str:
    """Whether it changed, with the difference and its interval. words: for more and for less."""
    surer, word = _direction(difference.chance_more, words)
    verdict = f"{word}, {odds(surer)}" if surer >= CLEAR else "no clear difference"
    return f"{verdict}, {difference_words(difference.by, digits)}"


def _direction(chance_more: float, words: tuple[str, str]) -> tuple[float, str]:
    """The likelier of more and less, with its chance."""
    return max((chance_more, words[0]), (1.0 - chance_more, words[1]))


def _letters(numbers: Sequence[int]) -> str:
    return joined([LETTERS[number] for number in sorted(numbers)])
