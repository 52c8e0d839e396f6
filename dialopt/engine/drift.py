"""How far the beans' ageing has moved the grind."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from dialopt.engine.advice import Estimate
from dialopt.engine.interval import around_median
from dialopt.model.observations import aged
from dialopt.model.posterior import Posterior
from dialopt.trade.freshness import pulled_on
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot


def rested_days(shots: Sequence[Shot], today: date | None) -> int:
    """Days from the last dated shot to the day that the advice is for; 0 where either is unknown."""
    days = [shot.pulled_at.date() for shot in shots if shot.pulled_at is not None]
    return max((today - max(days)).days, 0) if days and today is not None else 0


def finer_today(pairing: Pairing, shots: Sequence[Shot], posterior: Posterior, today: date | None) -> Estimate | None:
    """Steps finer that bring back the clock of the first dated shot; None while all was pulled on one day."""
    days = [day for shot in shots if (day := pulled_on(pairing.bean, shot)) is not None]
    if not days or pairing.grinder.grind.fixed:
        return None
    older = aged(min(days), today or max(days))
    if older == 0:
        return None
    parameters = posterior.parametric.parameters
    per_step = parameters["time_grind"][:, 0] / (pairing.grinder.grind.count - 1)
    steps = parameters["time_drift"][:, 0] * older / per_step
    return around_median(steps)
