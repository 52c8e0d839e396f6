"""The shot clock: log time is linear in grind and log dose, and follows the viscosity of water in temperature."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SHORTEST_S, LONGEST_S = 2.0, 240.0


def viscosity_mpas(temp_c: Floats) -> Floats:
    """Viscosity of water, mPa·s: 2.414e-2·10^(247.8 / (T − 140)), T in K (formula second-hand, values computed)."""
    return np.asarray(2.414e-2 * 10 ** (247.8 / (np.asarray(temp_c, float) + 273.15 - 140)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """Median shot time at a fixed ratio.

    level: ln s at the coarsest setting, 18 g and 93 °C. span: ln s from the coarsest to the finest setting.
    dose_power: a thicker puck and a bigger cup both take longer, so about 2. scatter: sd of ln s from puck to puck.
    """

    level: float
    span: float
    dose_power: float
    scatter: float

    def log_s(self, fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        """ln s; `fine` runs from 0, the coarsest setting, to 1, the finest."""
        thin = np.log(viscosity_mpas(temp_c) / viscosity_mpas(np.asarray(93.0)))
        return np.asarray(self.level + self.span * fine + self.dose_power * np.log(dose_g / 18.0) + thin)

    def seconds(self, fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        """Median time, s, as far as a person would wait for it."""
        return np.clip(np.exp(self.log_s(fine, dose_g, temp_c)), SHORTEST_S, LONGEST_S)
