"""Random smooth surfaces over the dials: draws from a Matérn-5/2 process by random Fourier features.

Rahimi & Recht 2007 (memory): the spectral density of a Matérn kernel of smoothness ν is a Student-t of 2ν freedoms.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from experiments.worlds.clock import Floats
from experiments.worlds.kit import Kit

FEATURES = 400


@dataclass(frozen=True, slots=True)
class Smooth:
    """A surface of mean 0 and variance 1 over unit coordinates (fine, dose, temperature).

    lengths: length scale on each, in shares of the dial.
    """

    lengths: Floats
    waves: Floats
    phases: Floats
    weights: Floats
    dose_low_g: float
    dose_span_g: float
    temp_low_c: float
    temp_span_c: float

    def __call__(self, fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        """The surface's height; the three arrays broadcast together."""
        fine, dose_g, temp_c = (np.atleast_1d(np.asarray(axis, float)) for axis in (fine, dose_g, temp_c))
        dose, temp = self.shares(dose_g, temp_c)
        first = self.weights * np.exp(1j * (fine[..., None] * self.waves[0] + self.phases))
        second = np.exp(1j * (dose[..., None] * self.waves[1]))
        third = np.exp(1j * (temp[..., None] * self.waves[2]))
        if fine.ndim == 3 and fine.size == fine.shape[0]:  # a sparse grid: three thin factors, far fewer exponentials
            features = len(self.weights)
            both = first.reshape(-1, 1, features) * second.reshape(1, -1, features)
            return np.asarray((both @ third.reshape(-1, features).T).real)
        return np.asarray(np.sum(first * second * third, axis=-1).real)

    def shares(self, dose_g: Floats, temp_c: Floats) -> tuple[Floats, Floats]:
        """Dose and temperature in shares of their dials, which `fine` is already."""
        return (dose_g - self.dose_low_g) / self.dose_span_g, (temp_c - self.temp_low_c) / self.temp_span_c


def draw_smooth(rng: np.random.Generator, kit: Kit, low: float = 0.2, high: float = 0.5) -> Smooth:
    """A surface whose length scale on each dial is log-uniform from `low` to `high` of the dial."""
    lengths = np.exp(rng.uniform(np.log(low), np.log(high), size=3))
    student = rng.standard_normal((3, FEATURES)) / np.sqrt(rng.chisquare(5, FEATURES) / 5)
    dose, temp = kit.basket.dose_g, kit.machine.temp_c
    return Smooth(
        lengths=lengths,
        waves=student / lengths[:, None],
        phases=rng.uniform(0, 2 * np.pi, FEATURES),
        weights=rng.standard_normal(FEATURES) * np.sqrt(2 / FEATURES),
        dose_low_g=dose.low,
        dose_span_g=max(dose.high - dose.low, dose.step),
        temp_low_c=temp.low,
        temp_span_c=max(temp.high - temp.low, temp.step),
    )
