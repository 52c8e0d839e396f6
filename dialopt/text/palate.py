"""The palate, and which of two recipes it likes better."""

from __future__ import annotations

from dialopt.engine.advice import Comparison, Palate
from dialopt.text.formats import TELLS, counted, estimate_words, joined, odds, score_span, sentence_case, signed, turned
from dialopt.trade.estimate import TOLERANCE

BLIND = "somebody else serves it among other cups, and you score it before you know which it was"
_TWO_CUPS = 2.33
"""Nine in ten differences of two draws lie within so many deviations of one: 1.645 · √2."""


def palate_sentences(palate: Palate, tastings: int, earlier: bool) -> str:
    """The whole, for somebody who reads on. earlier: whether other pairings had a say."""
    source = source_words(palate, tastings, earlier)
    return f"{noise_words(palate)} (known from: {source}). {sentence_case(offset_words(palate))}."


def noise_words(palate: Palate) -> str:
    """How far scores of one recipe scatter, and what that means for two of them."""
    noise = palate.noise
    return (
        f"scores of one recipe scatter by {noise.mean:.1f} points ({score_span(noise)}) as a standard "
        f"deviation, so two of them may lie {_TWO_CUPS * noise.mean:.1f} apart"
    )


def source_words(palate: Palate, tastings: int, earlier: bool) -> str:
    """What the noise was learned from. earlier: whether other pairings had a say."""
    if palate.repeats:
        source = f"{counted(palate.repeats, 'tasting')} of a recipe that had been tasted before"
    else:
        source = "no recipe tasted twice yet"
    rest = ["how the scores fit together"] if tastings > 1 else []
    rest += ["earlier pairings"] if earlier else []
    return f"{source}; the rest from {joined([*rest, 'what is usual'])}"


def offset_words(palate: Palate) -> str:
    """What a balanced cup is noted as."""
    offset = palate.offset
    anything = f"{signed(offset.low)} to {signed(offset.high)}"
    if palate.notes == 0:
        return f"neither sour nor bitter was noted yet; a palate may well note its best cup anywhere from {anything}"
    side = "neither side for sure"
    if offset.low > 0:
        side = "towards bitter"
    elif offset.high < 0:
        side = "towards sour"
    return (
        f"the best cup is noted as {signed(offset.mean)} ({anything}) on average, {side}, from "
        f"{counted(palate.notes, 'note')}"
    )


def verdict(comparison: Comparison) -> str:
    """Which is better, in one sentence; `one` is called A and `other` B."""
    if comparison.one == comparison.other:
        return "They are the same recipe."
    better = "A" if comparison.chance_better >= 0.5 else "B"
    chance = max(comparison.chance_better, 1.0 - comparison.chance_better)
    if chance < TELLS:
        said = "Can't tell: either is about as likely to be the better one"
    else:
        said = f"The chance is {odds(chance)} that {better} is better"
    if max(abs(comparison.by.low), abs(comparison.by.high)) <= TOLERANCE:
        said += "; most likely they lie within half a point of each other"
    return said + "."


def margin(comparison: Comparison) -> str:
    """By how much, seen from the better one, e.g. "A over B: 1.2 points (0.3 to 2.1)"."""
    if comparison.chance_better < 0.5:
        return f"B over A: {estimate_words(turned(comparison.by), 1, ' points')}"
    return f"A over B: {estimate_words(comparison.by, 1, ' points')}"
