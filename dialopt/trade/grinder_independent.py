"""A recipe in terms that hold on another grinder, whose numbers mean something else."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.trade.estimate import Estimate

MARK_S = 25.0
"""Shot time from which the grind is counted, s: 25 ± 5 s for the Italian institute's espresso (second-hand)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GrinderIndependent:
    """dose_g, yield_g: coffee in and cup out, g. ratio: the second over the first. temp_c: brew water, °C.

    time_s: expected shot time with its 90 % interval, s. flow_g_s: cup over expected time, g/s. tds_pct: strength as
    measured there, % of beverage; None where it never was. steps_finer_than_mark: grind steps from the setting that
    runs nearest to `MARK_S` at this dose and temperature; None where none comes near. score: liking with its 90 %
    interval.
    """

    dose_g: float
    yield_g: float
    ratio: float
    temp_c: float
    time_s: Estimate
    flow_g_s: float
    tds_pct: float | None
    steps_finer_than_mark: int | None
    score: Estimate
