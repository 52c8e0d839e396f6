"""`cliff`: a ridge whose taste falls off a cliff when the shot runs long."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from experiments.worlds import ridge
from experiments.worlds.clock import Floats
from experiments.worlds.kit import draw_kit
from experiments.worlds.taster import draw_taster
from experiments.worlds.world import World


def make(seed: int, rng: np.random.Generator) -> World:
    """A ridge with 2–4 points lost within a few per cent of shot time, some 8–25 % past the bean's own best time."""
    kit = draw_kit(rng)
    bean = ridge.draw_bean(rng, kit)
    clock = ridge.draw_clock(rng, bean)
    drop, edge, sharp = rng.uniform(2, 4), rng.uniform(0.08, 0.22), rng.uniform(0.015, 0.04)
    plain = ridge.assemble("cliff", seed, kit=kit, bean=bean, clock=clock, taster=draw_taster(rng))

    def taste(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        late = clock.log_s(fine, dose_g, temp_c) - np.log(bean.time_s) - edge
        fall = drop * 0.5 * (1 + np.tanh(late / (2 * sharp)))
        return np.asarray(np.clip(plain.taste(fine, dose_g, temp_c) - fall, 0, 10))

    return replace(plain, taste=taste)
