"""Says what a pairing starts from when others went before. The model is woken only where there is one to tell of."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from dialopt.logbook.records import Case, Evidence

FEW_TASTINGS = 3
"""From so many tastings of its own on, a pairing gains next to nothing by another one's (measured: reports/study)."""


def kept_lines(evidence: Evidence) -> tuple[str, ...]:
    """What is kept of the most telling other pairing, and how far it is trusted.

    Nothing without another one, or once this one has tastings enough to go by.
    """
    told = _telling(evidence)
    if told is None:
        return ()
    from dialopt.engine.carried import carried, carried_words
    from dialopt.model.task_correlation import robust_weight

    case, more = told
    shots = f"{len(case.shots)} shot{'s' * (len(case.shots) != 1)}"
    whence = f"pairing {case.pairing_id} ({case.pairing.title}, {case.pairing.grinder.burrs}, {shots})"
    open_share = robust_weight(evidence.pairing, [one.pairing for one in evidence.read])
    others = f", and from {more} other{'s' * (more != 1)}" if more else ""
    kept = carried_words(carried(case.pairing, evidence.pairing))
    return (
        f"  Kept     from {whence}{others}: {kept}; {100 * open_share:.0f} % of the start stays open in case it no "
        "longer holds, and your own shots soon overrule it",
    )


def kept_data(evidence: Evidence) -> dict[str, Any] | None:
    """The same for a program."""
    told = _telling(evidence)
    if told is None:
        return None
    from dialopt.engine.carried import carried

    case, more = told
    parts = carried(case.pairing, evidence.pairing)
    return {
        "pairing": case.pairing_id,
        "title": case.pairing.title,
        "burrs": case.pairing.grinder.burrs,
        "shots": len(case.shots),
        "other_pairings": more,
        "parts": [asdict(part) for part in parts],
    }


def _telling(evidence: Evidence) -> tuple[Case, int] | None:
    if not evidence.read or sum(shot.tasted for shot in evidence.shots) >= FEW_TASTINGS:
        return None
    return evidence.read[0], len(evidence.read) - 1
