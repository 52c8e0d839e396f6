"""The priors: one row a parameter.

Each parameter has a standard normal coordinate; `Priors.unpack` turns coordinates into natural values. Spreads are
those of the usual kitchen, bean and palate; `initial` keeps a share of everything broad, so that an unusual one can be
learned in a few shots. Signs and sizes are common practice unless a source stands beside them; centres and
spreads were settled on the development families of the experiments.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from dialopt.model.observations import Bools, Floats
from dialopt.trade.likely_time import TIME_RATIO, USUAL_RISE, USUAL_S


class Prior(NamedTuple):
    """A normal prior, or a log-normal one when `positive`: then `centre` is the median and `spread` is in logs."""

    centre: float
    spread: float
    positive: bool = False


class Parameters(dict[str, Floats]):
    """Natural parameter values by name, each of shape (P, 1) for P draws."""

    __slots__ = ()

    def rows(self, chosen: slice | Bools) -> Parameters:
        """The chosen draws only."""
        return Parameters({name: values[chosen] for name, values in self.items()})


class Priors(NamedTuple):
    """One normal prior a parameter, in the order of the columns of the standard coordinates."""

    # The shot time: log seconds, at the usual temperature, the middle dose and USUAL_RATIO.
    time_place: Prior = Prior(0.5, 0.29)  # where the dial gives USUAL_S: 0 its coarse end, 1 its fine end
    time_grind: Prior = Prior(USUAL_RISE, 0.6, positive=True)  # from the coarse end to the fine end; finer is slower
    time_dose: Prior = Prior(1.9, 0.5)  # a log unit of dose; deeper bed, slower
    time_temp: Prior = Prior(-0.045, 0.015)  # 4 °C; viscosity alone gives −0.045 (Vogel-type formula, computed)
    time_ratio: Prior = Prior(TIME_RATIO, 0.1)  # a log unit of ratio
    time_sd: Prior = Prior(0.055, 0.35, positive=True)  # puck to puck
    time_drift: Prior = Prior(-0.15, 0.2)  # ten days; ageing beans tend to run faster, no figures are published
    # The extraction index: log-time equivalents from the best cup; below 0 under-, above 0 over-extracted.
    time_best: Prior = Prior(math.log(USUAL_S), 0.22)  # 25–35 s for today's double
    pull_temp: Prior = Prior(0.12, 0.07)  # hotter extracts more, weakly (Andueza 2003; Klotz 2020: read)
    pull_dose: Prior = Prior(-0.6, 0.5)  # more coffee, less drawn from each gram
    # A log unit of ratio beyond the longer time itself: from 1:2 to 1:3 the yield rises by some two points.
    pull_ratio: Prior = Prior(0.7, 0.35)
    # What a distance from the best cup costs, points of liking.
    under_slope: Prior = Prior(9.0, 0.4, positive=True)  # a log unit of time too short
    over_slope: Prior = Prior(9.0, 0.5, positive=True)  # too long; can be a cliff
    rounding: Prior = Prior(0.19, 0.45, positive=True)  # within this the loss is a bowl, beyond it a slope
    temp_curve: Prior = Prior(0.5, 0.55, positive=True)  # 4 °C off, apart from extraction
    temp_best: Prior = Prior(0.0, 0.5)  # about 92 °C was best (Andueza 2003, Angeloni 2017: read), within the dial
    dose_curve: Prior = Prior(65.0, 0.6, positive=True)  # a log unit of dose off, squared: 1.5 g in 18 costs 0.4
    dose_best: Prior = Prior(0.0, 0.05)
    ratio_curve: Prior = Prior(7.0, 0.6, positive=True)  # a log unit of ratio off, squared: 1:1.5 or 1:2.7 costs 0.6
    ratio_best: Prior = Prior(0.0, 0.25)  # the strength that is liked; between 1:1.5 and 1:3 today
    # Bags that are unlike that: see `mean_function`.
    steep: Prior = Prior(1.0, 1.0)  # below 0, one bag in six, every slope is a fifth as steep
    matters: Prior = Prior(0.25, 1.0)  # below 0, two in five, temperature and dose do nothing beyond extraction
    hill: Prior = Prior(0.0, 1.0)  # beyond ±HILL, one in seven, a second hill on that side
    hill_away: Prior = Prior(0.65, 0.3, positive=True)  # log units of time from the first
    hill_lower: Prior = Prior(0.7, 0.6, positive=True)  # points
    # The taster.
    taster_sd: Prior = Prior(1.0, 0.5, positive=True)  # repeat noise on 0–10; 0.5–2 in open sensory sets (computed)
    verdict_sd: Prior = Prior(1.0, 0.5, positive=True)  # noise of the difference between two cups, points
    same_within: Prior = Prior(0.4, 0.6, positive=True)  # a smaller one is called "same", points
    note_gain: Prior = Prior(3.1, 1.0)  # balance steps a unit of the index; may be nothing, or even reversed
    note_offset: Prior = Prior(0.0, 0.6)  # the palate's own middle
    note_sd: Prior = Prior(0.65, 0.25, positive=True)
    note_lapse: Prior = Prior(0.04, 0.8, positive=True)  # share of notes that say nothing
    # Everything that the mean function doesn't know.
    discrepancy_sd: Prior = Prior(0.25, 0.65, positive=True)
    # Extraction yield, where strength was measured.
    yield_best: Prior = Prior(20.0, 1.5)  # Lockhart 1957: 18–22 % (read in Batali et al. 2020)
    yield_slope: Prior = Prior(3.0, 0.5, positive=True)  # points of yield a unit of the index
    yield_sd: Prior = Prior(0.5, 0.4, positive=True)

    def unpack(self, coordinates: Floats) -> Parameters:
        """Natural values of P draws from standard coordinates of shape (P, k)."""
        centre, spread, positive = _columns(self)
        raw = centre + spread * coordinates
        raw[:, positive] = np.exp(np.clip(raw[:, positive], -30, 30))
        return Parameters({name: raw[:, column : column + 1] for column, name in enumerate(self._fields)})

    def standard(self, name: str, value: float, spread: float) -> tuple[float, float]:
        """A reading of a parameter and its spread, both in logs for a positive one, in the standard coordinate."""
        row, (centres, spreads, _) = self._fields.index(name), _columns(self)
        return float((value - centres[row]) / spreads[row]), float(spread / spreads[row])


@lru_cache(maxsize=8)
def _columns(priors: Priors) -> tuple[Floats, Floats, Bools]:
    """Centres, in logs for a positive parameter, spreads, and which are positive, (k,) each."""
    return (
        np.array([math.log(p.centre) if p.positive else p.centre for p in priors]),
        np.array([p.spread for p in priors]),
        np.array([p.positive for p in priors]),
    )


PRIORS = Priors()
NAMES = Priors._fields
PEAK = Prior(7.6, 1.0)
"""Liking at the best cup, points. It and the discrepancy are integrated out exactly."""
