"""Worlds with a random smooth surface: `bumpy_ridge` adds one to a ridge, `random_surface` is nothing else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from experiments.worlds import ridge
from experiments.worlds.clock import Floats
from experiments.worlds.kit import draw_kit
from experiments.worlds.smooth import draw_smooth
from experiments.worlds.taster import draw_taster
from experiments.worlds.world import Surface, World


def bumpy_ridge(seed: int, rng: np.random.Generator) -> World:
    """A ridge plus a surface of sd 0.45–0.7, moved up or down until its best is what was drawn for the bean."""
    kit = draw_kit(rng)
    bean = ridge.draw_bean(rng, kit)
    clock = ridge.draw_clock(rng, bean)
    bumps, size = draw_smooth(rng, kit), rng.uniform(0.45, 0.7)
    plain = ridge.assemble("bumpy_ridge", seed, kit=kit, bean=bean, clock=clock, taster=draw_taster(rng))

    def rough(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        return plain.taste(fine, dose_g, temp_c) + size * bumps(fine, dose_g, temp_c)

    return replace(plain, taste=_lifted(plain, rough, bean.peak))


def random_surface(seed: int, rng: np.random.Generator) -> World:
    """A surface of sd 0.8–1.2 and nothing else; the balance notes follow another one, the clock stays physical."""
    kit = draw_kit(rng)
    bean = ridge.draw_bean(rng, kit)
    clock = ridge.draw_clock(rng, bean)
    hills, size, other = draw_smooth(rng, kit), rng.uniform(0.8, 1.2), draw_smooth(rng, kit)
    taster = replace(draw_taster(rng), gain=1.0)
    plain = ridge.assemble("random_surface", seed, kit=kit, bean=bean, clock=clock, taster=taster)

    def hilly(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        return np.asarray(size * hills(fine, dose_g, temp_c))

    return replace(plain, taste=_lifted(plain, hilly, bean.peak), lean=other)


def _lifted(world: World, surface: Surface, peak: float) -> Surface:
    """The surface moved up or down until its best setting is worth `peak`, kept within 0–10."""
    top = float(replace(world, taste=surface).best_liking)

    def lifted(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        return np.clip(surface(fine, dose_g, temp_c) - top + peak, 0, 10)

    return lifted
