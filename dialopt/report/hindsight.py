"""Looking back: what had been predicted for each shot before it was pulled."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from dialopt.engine.advice import Estimate, PredictedOutcome
from dialopt.engine.advise import sweet_spot
from dialopt.logbook.records import Log
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot, kitchen_time

MOST_LOOKS = 30
LEVEL = 0.9
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What was known just before a shot.

    number: of the shot, in the logbook. before: how many were pulled before it. predicted: 90 % intervals of its notes.
    best: liking at the sweet spot of that moment. prob_near_optimal: how sure that sweet spot was.
    """

    number: int
    before: int
    shot: Shot
    predicted: PredictedOutcome
    best: Estimate
    prob_near_optimal: float

    @property
    def inside(self) -> bool | None:
        """Whether the noted score fell within the interval; None for a shot that doesn't count as a tasting."""
        if not self.shot.tasted or self.shot.score is None:
            return None
        return self.predicted.score.low <= self.shot.score <= self.predicted.score.high


def look_back(
    pairing: Pairing,
    log: Log,
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]] = (),
    *,
    seed: int = 0,
    progress: Progress | None = None,
    most: int = MOST_LOOKS,
) -> tuple[Look, ...]:
    """Takes the log shot by shot, as it grew, and asks anew before each of the last `most` that are read.

    earlier: other pairings; before each shot only what had been pulled of them by then has a say, as far as dates tell.
    progress: called with the looks done and the looks to do.
    """
    numbers, shots = list(log), list(log.values())
    meant = [before for before, shot in enumerate(shots) if pairing.may_be_meant(shot.recipe)][-most:]
    looks: list[Look] = []
    for before in meant:
        shot = shots[before]
        day = None if shot.pulled_at is None else shot.pulled_at.date()
        known = _pulled_before(earlier, shot.pulled_at)
        spot = sweet_spot(pairing, shots[:before], known, seed, day)
        looks.append(
            Look(
                number=numbers[before],
                before=before,
                shot=shot,
                predicted=spot.predictive.predict_outcome(shot.recipe, LEVEL),
                best=spot.score,
                prob_near_optimal=spot.prob_near_optimal,
            )
        )
        if progress is not None:
            progress(len(looks), len(meant))
    return tuple(looks)


def _pulled_before(
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]], at: datetime | None
) -> list[tuple[Pairing, list[Shot]]]:
    """What had been pulled of other pairings at a time. Where a date is missing, it counts as pulled before."""

    def before(shot: Shot) -> bool:
        return at is None or shot.pulled_at is None or kitchen_time(shot.pulled_at) < kitchen_time(at)

    known = [(pairing, [shot for shot in shots if before(shot)]) for pairing, shots in earlier]
    return [(pairing, shots) for pairing, shots in known if shots]
