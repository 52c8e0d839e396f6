"""Draws of kit: dials of arbitrary numbers, as they come in kitchens."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """Grinder, machine and basket of one kitchen."""

    grinder: Grinder
    machine: Machine
    basket: Basket

    def pairing(self, bean: str, ratio: float = 2.0) -> Pairing:
        """This kit with a bean of that name."""
        return Pairing(
            bean=Bean(name=bean), grinder=self.grinder, machine=self.machine, basket=self.basket, ratio=ratio
        )


def _dial(low: float, step: float, count: int) -> Dial:
    return Dial(low, low + step * (count - 1), step)


def draw_kit(rng: np.random.Generator, *, weak: bool = False) -> Kit:
    """A kitchen: a grind dial of 24–80 settings, temperature of 5–17, dose of 7–41; `weak`: dials of 3–8 settings.

    A weak kitchen's machine can't be set at all in half of the draws.
    """
    finer = "down" if rng.random() < 0.6 else "up"
    grind_step = float(rng.choice([0.25, 0.5, 1.0, 1.0, 1.0, 2.0]))
    grind_low = float(rng.choice([0, 0, 1, 2, 5, 10, 100]))
    grind_count = int(rng.integers(24, 81))
    temp_low = float(rng.choice([86, 88, 88, 88, 89, 90]))
    temp_step, temp_count = [(0.5, 17), (1.0, 9), (1.0, 7), (2.0, 5), (1.0, 9)][int(rng.integers(5))]
    dose_low = float(rng.choice([15.0, 16.0, 16.0, 16.5, 17.0]))
    dose_step = float(rng.choice([0.1, 0.2, 0.25, 0.5]))
    dose_count = round(float(rng.choice([3.0, 4.0])) / dose_step) + 1
    if weak:
        grind_step, grind_count = 1.0, int(rng.integers(5, 9))
        temp_low, temp_step, temp_count = 93.0, 1.0, 1
        if rng.random() < 0.5:
            temp_low, temp_step, temp_count = 90.0, 3.0, 3
        dose_step, dose_count = 0.5, int(rng.integers(3, 7))
    return Kit(
        grinder=Grinder(name="trial grinder", grind=_dial(grind_low, grind_step, grind_count), finer=finer),
        machine=Machine(name="trial machine", temp_c=_dial(temp_low, temp_step, temp_count)),
        basket=Basket(dose_g=_dial(dose_low, dose_step, dose_count)),
    )
