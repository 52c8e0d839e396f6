"""What the study of simulated bags says of the program's own words, for whoever reads a report."""

from __future__ import annotations

PAGE = "reports/study.html"
"""The study's page, by its name in the project."""
KINDS, BAGS = 14, 1400
"""Kinds of simulated bags, and bags in all."""
WITHIN_90_PCT = 91
"""Scores that fell within the prediction interval at 90 %, in percent of all pulls."""
CLOSE_PCT = (6, 12, 22, 33, 45, 57, 71, 80, 87, 92)
"""How often the recipe was within half a point of the best where the chance of that was put at 0–10 %, 10–20 %, … All
of these are read off reports/study by a test."""


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
        f"simulated bags, {PAGE}; nothing in it is evidence about real coffee."
    )
