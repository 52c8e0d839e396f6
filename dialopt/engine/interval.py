"""A middle and a central interval of equally likely draws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dialopt.engine.advice import Estimate
from dialopt.model.observations import Floats


def central(values: Floats, level: float = 0.9) -> Estimate:
    """The mean of the draws and the interval that leaves as many of them below it as above."""
    low, high = np.quantile(values, [(1.0 - level) / 2.0, (1.0 + level) / 2.0])
    return Estimate(mean=float(values.mean()), low=float(low), high=float(high))


def around_median(values: Floats, level: float = 0.9) -> Estimate:
    """The same with the median as its `mean`: of what can be very long, such as a shot time or a number of steps.

    Its mean would be that of the few draws in which it hardly runs at all, and may lie beyond the interval.
    """
    return replace(central(values, level), mean=float(np.median(values)))
