"""The palate, and which of two recipes it likes better."""

from __future__ import annotations

from dialopt.engine.advice import Comparison, Palate
from dialopt.logbook.records import PairingRecord
from dialopt.text.formats import TELLS, counted, estimate_words, joined, odds, score_span, sentence_case, signed, turned
from dialopt.text.recipes import recipe_words
from dialopt.text.said import Said, rows
from dialopt.text.terminal import count_words
from dialopt.trade.dial import plain_setting
from dialopt.trade.estimate import TOLERANCE

BLIND = "somebody else serves it among other cups, and you score it before you know which it was"
_TWO_CUPS = 2.33
"""Nine in ten differences of two draws lie within so many deviations of one: 1.645 · √2."""
_BY_BLIND = "`dialopt serve paired` lets your palate judge them blind; `dialopt next` says what to pull now."
_BY_TRIANGLE = "`dialopt next` says what to pull now; `dialopt serve triangle` tests whether two recipes differ."


def compare_said(record: PairingRecord, found: Comparison, more: tuple[str, ...]) -> Said:
    """Which of two recipes is better. more: lines behind it."""
    return Said(
        did=f"Two recipes for {record.pairing.title}, going by {count_words(record.shots)}:",
        lines=(
            *rows(
                ("A", recipe_words(found.one, record.pairing)),
                ("B", recipe_words(found.other, record.pairing)),
                ("Better?", verdict(found)),
                ("By", None if found.one == found.other else f"{margin(found)}, 9 times in 10"),
            ),
            *more,
        ),
        next_step=_BY_BLIND,
    )


def palate_said(record: PairingRecord, palate: Palate, tastings: int, earlier: bool) -> Said:
    """How far scores scatter, and whether a repeat would help. earlier: whether other pairings had a say."""
    taster, at, next_step = record.pairing.taster, palate.repeat, _BY_TRIANGLE
    whose = "Your" if taster is None else f"{taster}'s"
    if at is not None:
        grind, dose, temp = (plain_setting(value) for value in (at.grind, at.dose_g, at.temp_c))
        next_step = (
            f"pull that repeat, then `dialopt shot --grind {grind} --dose {dose} --temp {temp} --yield G --time S "
            "--score 0-10` logs it; `dialopt next` says what else."
        )
    return Said(
        did=f"{whose} palate with {record.pairing.title}, going by {count_words(record.shots)}, 9 times in 10:",
        lines=rows(
            ("Noise", noise_words(palate)),
            ("From", source_words(palate, tastings, earlier)),
            ("Balance", offset_words(palate)),
            ("Repeat", None if at is None else f"{recipe_words(at, record.pairing)}, blind: {BLIND}"),
        ),
        next_step=next_step,
    )


def no_shot(number: str) -> str:
    """That no shot has that number."""
    return f"There is no shot {number}; `dialopt shots` lists them, and GRIND:DOSE:TEMP names a recipe."


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
