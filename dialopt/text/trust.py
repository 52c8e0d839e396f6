"""Why a report can be trusted, and how far."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dialopt.model.limits import LATEST
from dialopt.text import formats
from dialopt.text.formats import joined

if TYPE_CHECKING:
    from dialopt.engine.counted import Counted

STUDY_PAGE = "reports/study.html"
"""The study's page, by its name in the project."""
KINDS, BAGS = 14, 1400
"""Kinds of simulated bags, and bags in all."""
WITHIN_90_PCT = 91
"""Scores that fell within the prediction interval at 90 %, in percent of all pulls."""
CLOSE_PCT = (6, 12, 22, 33, 45, 57, 71, 80, 87, 92)
"""How often the recipe was within half a point of the best where the chance of that was put at 0–10 %, 10–20 %, … All
of these are read off reports/study by a test."""
READING = (
    "“Liking” is the score that this palate would give on average; a single cup's score scatters around it. "
    "“Close” is within half a point of the best. Ranges hold what they speak of with a chance of 9 in 10; those "
    "of the dials say where the best setting lies, each dial by itself."
)


def record_sentence(within: int, judged: int, level: float) -> str:
    """How the predicted intervals did on this bag. within: scores that fell within theirs, of those judged."""
    if not judged:
        return "No score could yet be held against what was predicted."
    return (
        f"{within} of {formats.counted(judged, 'score')} fell within the {100 * level:.0f} % prediction interval "
        f"before the pull; about {level * judged:.0f} would if the intervals are right."
    )


def study_sentence(prob_near_optimal: float) -> str:
    """How stated chances like this one turned out in the study.

    >>> study_sentence(0.66)[:104]
    'On 1400 simulated bags of 14 kinds, where the chance of being close was put at 60 to 70 %, as it is here'
    """
    tenth = min(int(prob_near_optimal * 10), len(CLOSE_PCT) - 1)
    return (
        f"On {BAGS} simulated bags of {KINDS} kinds, where the chance of being close was put at {10 * tenth} to "
        f"{10 * tenth + 10} %, as it is here, the recipe was close in {CLOSE_PCT[tenth]} % of cases; and "
        f"{WITHIN_90_PCT} % of scores fell within the 90 % prediction interval. That is the project's study of "
        f"simulated bags, {STUDY_PAGE}; nothing in it is evidence about real coffee."
    )


def counted_sentences(counted: Counted) -> str:
    """What was read of the shots, and what wasn't and why."""
    as_tastings = "1 as a tasting" if counted.tasted == 1 else f"{counted.tasted} as tastings"
    sentences = [f"Of {formats.counted(counted.shots, 'shot')}, {as_tastings} and {counted.timed} for the shot clock."]
    if counted.cut:
        sentences.append(f"Of more than {LATEST} the latest of every recipe is read first, then the one before it.")
    if counted.slips:
        sentences.append(f"Not read, as far off the dials: {joined([f'shot {number}' for number in counted.slips])}.")
    faulty = [f"shot {number} ({fault})" for number, fault in counted.faulty]
    sentences.append(
        f"Not as a tasting: {joined(faulty)}, for the score of a faulty cup says more about the fault than about the "
        "recipe."
        if faulty
        else "No shot was left out for a fault."
    )
    return " ".join(sentences)


def assumed_sentences(gp_weight: float) -> str:
    """What is taken for granted. gp_weight: the say of the second reckoning, 0–1."""
    return (
        "A finer grind, more coffee and cooler water slow the shot. Liking has one best degree of extraction and "
        "falls off to both sides, maybe steeply. Brew temperature matters less than grind. Balance notes say on "
        "which side of the best a cup fell. A palate repeats itself within about half a point to two points. "
        "About one puck in twelve goes wrong without anybody marking it, so that a single odd cup moves little. "
        "Beside this stands a second reckoning that takes none of it for granted; its say in this report is "
        f"{100 * gp_weight:.0f} %."
    )
