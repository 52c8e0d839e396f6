"""The sweet spot: how sure it is, and where there is no single one inside the dials."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.engine.advice import SweetSpot
from dialopt.text.formats import odds, setting
from dialopt.text.recipes import turned_words
from dialopt.trade.pairing import DIAL_WORDS, Pairing
from dialopt.trade.shot import Shot

_LIKELY = ((0.9, "very likely"), (0.7, "likely"), (0.6, "more likely than not"), (0.45, "a toss-up"))


def likely_word(chance: float) -> str:
    """A probability of 0.45 or more as a word.

    >>> likely_word(0.83), likely_word(0.5)
    ('likely', 'a toss-up')
    """
    return next(word for least, word in _LIKELY if chance >= least - 1e-9)


def sure_sentence(spot: SweetSpot) -> str:
    """How sure it is that the sweet spot is good enough."""
    chance = spot.prob_near_optimal
    if chance < 0.45:
        return (
            f"There may well be better: the chance is {odds(chance)} that no other setting on these dials would be "
            "liked more by over half a point."
        )
    return (
        f"It is {likely_word(chance)}, {odds(chance)}, that no other setting on these dials "
        "would be liked more by over half a point."
    )


def shape_sentences(pairing: Pairing, spot: SweetSpot) -> list[str]:
    """One for each dial on whose end the best may lie, one for a line of equals, one for each rival place."""
    sentences = [
        f"The best {DIAL_WORDS[name]} may lie at, or beyond, the {_end(pairing, name, getattr(spot.recipe, name))} end "
        f"of the dial ({setting(name, getattr(spot.recipe, name))})."
        for name in spot.edges
    ]
    if spot.near_optimal_ridge is not None:
        one, other = (turned_words(pairing, recipe) for recipe in spot.near_optimal_ridge)
        sentences.append(f"There is no single best setting: from {one} to {other} a whole line does about as well.")
    for rival in spot.modes:
        sentences.append(f"The best may also lie elsewhere, around {turned_words(pairing, rival)}.")
    return sentences


def _end(pairing: Pairing, name: str, value: float) -> str:
    dial = pairing.dials[name]
    low = abs(value - dial.low) <= abs(value - dial.high)
    if name == "grind":
        return "fine" if low == (pairing.grinder.finer == "down") else "coarse"
    return "lower" if low else "upper"


def missing_sentences(shots: Sequence[Shot]) -> list[str]:
    """What the log doesn't hold, and what that costs."""
    if not shots:
        return ["No shot has been logged yet: all that is shown rests on what is usual."]
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
