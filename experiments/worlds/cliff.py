"""`cliff`: a ridge whose taste falls off a cliff when the shot runs long."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from experiments.worlds import ridge
from experiments.worlds.clock import Clock, Floats
from experiments.worlds.kit import draw_kit
from experiments.worlds.taster import draw_taster
from experiments.worlds.world import Surface, World


@dataclass(frozen=True, slots=True, kw_only=True)
class Cliff:
    """Where taste falls off. drop: points lost. edge: how far past the bean's own best time, in ln s. sharp: within."""

    drop: float
    edge: float
    sharp: float

    def taste(self, bean: ridge.Bean, clock: Clock) -> Surface:
        """Liking of the bean with this cliff, 0–10."""
        plain = bean.taste(clock)

        def taste(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
            late = clock.log_s(fine, dose_g, temp_c) - np.log(bean.time_s) - self.edge
            fall = self.drop * 0.5 * (1 + np.tanh(late / (2 * self.sharp)))
            return np.asarray(np.clip(plain(fine, dose_g, temp_c) - fall, 0, 10))

        return taste


def draw_cliff(rng: np.random.Generator) -> Cliff:
    """2–4 points lost within a few per cent of shot time, some 8–25 % past the bean's own best time."""
    return Cliff(drop=rng.uniform(2, 4), edge=rng.uniform(0.08, 0.22), sharp=rng.uniform(0.015, 0.04))


def make(seed: int, rng: np.random.Generator) -> World:
    """A ridge with a cliff."""
    kit = draw_kit(rng)
    bean = ridge.draw_bean(rng, kit)
    clock = ridge.draw_clock(rng, bean)
    cliff = draw_cliff(rng)
    plain = ridge.assemble("cliff", seed, kit=kit, bean=bean, clock=clock, taster=draw_taster(rng))
    return replace(plain, taste=cliff.taste(bean, clock))
