"""Ridges of special shape: `two_peaks`, `edge`, `weak_dial`."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from experiments.worlds import ridge
from experiments.worlds.clock import Floats
from experiments.worlds.kit import Kit, draw_kit
from experiments.worlds.taster import draw_taster
from experiments.worlds.world import World


def two_peaks(seed: int, rng: np.random.Generator) -> World:
    """A bean that is also good much shorter or longer, 0.3–1.2 points below its best, with a saddle between."""
    kit = draw_kit(rng)
    bean = ridge.draw_bean(rng, kit)
    clock = ridge.draw_clock(rng, bean, fine=float(rng.uniform(0.3, 0.7)))
    away = float(rng.uniform(0.5, 0.8) * rng.choice([-1, 1]))
    elsewhere = ridge.draw_bean(rng, kit)
    other = replace(
        bean,
        time_s=bean.time_s * float(np.exp(away)),
        temp_c=elsewhere.temp_c,
        dose_g=elsewhere.dose_g,
        peak=bean.peak - float(rng.uniform(0.3, 1.2)),
    )
    plain = ridge.assemble("two_peaks", seed, kit=kit, bean=bean, clock=clock, taster=draw_taster(rng))
    second = other.taste(clock)

    def taste(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        return np.maximum(plain.taste(fine, dose_g, temp_c), second(fine, dose_g, temp_c))

    return replace(plain, taste=taste)


def edge(seed: int, rng: np.random.Generator) -> World:
    """A ridge whose best setting lies at the end of a dial, since the bean would like one beyond it."""
    while True:
        world = _beyond(seed, rng)
        if ends(world):
            return world


def ends(world: World) -> list[str]:
    """The dials at whose end the best setting lies."""
    return [name for name, dial in world.pairing.dials.items() if getattr(world.best, name) in (dial.low, dial.high)]


def _beyond(seed: int, rng: np.random.Generator) -> World:
    kit = draw_kit(rng)
    bean, fine = ridge.draw_bean(rng, kit), float(rng.uniform(0.15, 0.85))
    which, above = int(rng.integers(3)), rng.random() < 0.5
    past = float(rng.uniform(0.1, 0.4))
    if which == 0:
        fine = 1 + 0.5 * past if above else -0.5 * past
    elif which == 1:
        bean = replace(bean, dose_g=_past(kit.basket.dose_g.low, kit.basket.dose_g.high, past, above))
    else:
        bean = replace(bean, temp_c=_past(kit.machine.temp_c.low, kit.machine.temp_c.high, past, above))
    clock = ridge.draw_clock(rng, bean, fine=fine)
    return ridge.assemble("edge", seed, kit=kit, bean=bean, clock=clock, taster=draw_taster(rng))


def _past(low: float, high: float, share: float, above: bool) -> float:
    return high + share * (high - low) if above else low - share * (high - low)


def weak_dial(seed: int, rng: np.random.Generator) -> World:
    """A plain ridge on kit of few settings: 5–8 grinds, 3–6 doses, one temperature or three."""
    kit: Kit = draw_kit(rng, weak=True)
    bean = ridge.draw_bean(rng, kit)
    clock = ridge.draw_clock(rng, bean)
    return ridge.assemble("weak_dial", seed, kit=kit, bean=bean, clock=clock, taster=draw_taster(rng))
