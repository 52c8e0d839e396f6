"""What of a log was read, and what wasn't and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from dialopt.model.observations import observe
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """shots: how many there are. tasted, timed: how many of them were read as tastings, and for the shot clock.

    cut: whether there are more than are read. slips: numbers of those too far off the dials. faulty: of each that was
    marked, its number and fault.
    """

    shots: int
    tasted: int
    timed: int
    cut: bool
    slips: tuple[int, ...]
    faulty: tuple[tuple[int, str], ...]


def counted(pairing: Pairing, log: Mapping[int, Shot]) -> Counted:
    """What was read of a log, shots by their numbers."""
    meant = pairing.meant(list(log.values()))
    table = observe(pairing, meant)
    return Counted(
        shots=len(log),
        tasted=int(table.scored.sum()),
        timed=int(np.sum(~np.isnan(table.log_time))),
        cut=len(table.score) < sum(shot.tells for shot in meant),
        slips=tuple(number for number, shot in log.items() if not pairing.may_be_meant(shot.recipe)),
        faulty=tuple((number, shot.fault) for number, shot in log.items() if shot.fault is not None),
    )
