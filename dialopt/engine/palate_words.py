"""The palate in plain sentences."""

from __future__ import annotations

from dialopt.engine.advice import Palate
from dialopt.engine.joined import joined

BLIND = "somebody else serves it among other cups, and you score it before you know which it was"
_TWO_CUPS = 2.33
"""Nine in ten differences of two draws lie within so many deviations of one: 1.645 · √2."""


def palate_sentences(palate: Palate, tastings: int, earlier: bool) -> str:
    """The whole, for somebody who reads on. earlier: whether other pairings had a say."""
    noise, offset = (f"{part[0].upper()}{part[1:]}" for part in (noise_words(palate), offset_words(palate)))
    return f"{noise} (known from: {source_words(palate, tastings, earlier)}). {offset}."


def noise_words(palate: Palate) -> str:
    """How far scores of one recipe scatter, and what that means for two of them."""
    noise = palate.noise
    return (
        f"scores of one recipe scatter by {noise.mean:.1f} points ({noise.low:.1f} to {noise.high:.1f}) as a standard "
        f"deviation, so two of them may lie {_TWO_CUPS * noise.mean:.1f} apart"
    )


def source_words(palate: Palate, tastings: int, earlier: bool) -> str:
    """What the noise was learned from. earlier: whether other pairings had a say."""
    if palate.repeats:
        told = f"{palate.repeats} tasting{'s' * (palate.repeats != 1)} of a recipe that had been tasted before"
    else:
        told = "no recipe tasted twice yet"
    rest = ["how the scores fit together"] if tastings > 1 else []
    rest += ["earlier pairings"] if earlier else []
    return f"{told}; the rest from {joined([*rest, 'what is usual'])}"


def offset_words(palate: Palate) -> str:
    """What a balanced cup is noted as."""
    offset = palate.offset
    span = f"{_note(offset.mean)} ({_note(offset.low)} to {_note(offset.high)})"
    if palate.notes == 0:
        anything = f"{_note(offset.low)} to {_note(offset.high)}"
        return f"neither sour nor bitter was noted yet; a palate may well note its best cup anywhere from {anything}"
    side = "neither side for sure"
    if offset.low > 0:
        side = "towards bitter"
    elif offset.high < 0:
        side = "towards sour"
    notes = f"{palate.notes} note{'s' * (palate.notes != 1)}"
    return f"the best cup is noted as {span} on average, {side}, from {notes}"


def _note(steps: float) -> str:
    return f"{round(steps, 1) + 0.0:+.1f}".replace("-", "−").replace("+0.0", "0")
