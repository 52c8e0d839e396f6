"""What bags are drawn with: a kitchen's dials, how long a shot runs on them, and the taster who notes it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing

Floats = NDArray[np.float64]

SHORTEST_S, LONGEST_S = 2.0, 240.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """Grinder, machine and basket of one kitchen."""

    grinder: Grinder
    machine: Machine
    basket: Basket

    @classmethod
    def of(cls, pairing: Pairing) -> Kit:
        """The kit of a pairing."""
        return cls(grinder=pairing.grinder, machine=pairing.machine, basket=pairing.basket)

    def pairing(self, bean: str, ratio: float = 2.0) -> Pairing:
        """This kit with a bean of that name."""
        named = Bean(name=bean)
        return Pairing(bean=named, grinder=self.grinder, machine=self.machine, basket=self.basket, ratio=ratio)


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


def viscosity_mpas(temp_c: Floats) -> Floats:
    """Viscosity of water, mPa·s: 2.414e-2·10^(247.8 / (T − 140)), T in K (formula second-hand, values computed)."""
    return np.asarray(2.414e-2 * 10 ** (247.8 / (np.asarray(temp_c, float) + 273.15 - 140)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """Median shot time at a fixed ratio: linear in log in grind and log dose, in temperature as water's viscosity.

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Taster:
    """How a cup is noted.

    score_sd: on 0–10. gain: note steps a unit of lean; offset: steps that this palate is off; note_sd: in steps.
    notes: False for a taster who gives no balance notes. tail_df: degrees of freedom of Student-t score noise, None for
    normal. generous: points added to every score, so that good cups pile up at 10.
    """

    score_sd: float
    gain: float
    offset: float = 0.0
    note_sd: float = 0.6
    notes: bool = True
    tail_df: float | None = None
    generous: float = 0.0

    def score(self, liking: float, normal: float, chi2: float) -> float:
        """Liking plus noise, to the nearest half within 0–10. `chi2` is a chi-squared draw of `tail_df` freedoms."""
        heavy = 1.0 if self.tail_df is None else float(np.sqrt(self.tail_df / chi2))
        noted = liking + self.generous + self.score_sd * heavy * normal
        return float(np.clip(round(2 * noted) / 2, 0, 10))

    def balance(self, lean: float, normal: float) -> int | None:
        """The note: sour below 0, bitter above, whole steps within −3 … 3."""
        if not self.notes:
            return None
        noted = 3 * np.tanh(self.gain * lean / 3) + self.offset + self.note_sd * normal
        return int(np.clip(round(noted), -3, 3))


def draw_taster(rng: np.random.Generator) -> Taster:
    """A plain taster: score noise sd 0.35–0.8, a palate hardly off."""
    return Taster(score_sd=rng.uniform(0.35, 0.8), gain=rng.uniform(2.0, 4.0), offset=rng.normal(0, 0.15))
