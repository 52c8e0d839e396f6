"""Worlds with a random smooth surface: `bumpy_ridge` adds one to a ridge, `random_surface` is nothing else."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from experiments.worlds import ridge
from experiments.worlds.clock import Floats
from experiments.worlds.kit import draw_kit
from experiments.worlds.smooth import Smooth, draw_smooth
from experiments.worlds.taster import draw_taster
from experiments.worlds.world import Surface, World


@dataclass(frozen=True, slots=True, kw_only=True)
class Rough:
    """A world and what its taste is made of, before it is kept within 0–10.

    even: liking without the surface, the lift included. size: standard deviation of the surface, points.
    """

    world: World
    even: Surface
    size: float
    surface: Smooth


def bumpy_ridge_parts(seed: int, rng: np.random.Generator) -> Rough:
    """A ridge plus a surface of sd 0.45–0.7, moved up or down until its best is what was drawn for the bean."""
    kit = draw_kit(rng)
    bean = ridge.draw_bean(rng, kit)
    clock = ridge.draw_clock(rng, bean)
    surface, size = draw_smooth(rng, kit), float(rng.uniform(0.45, 0.7))
    plain = ridge.assemble("bumpy_ridge", seed, kit=kit, bean=bean, clock=clock, taster=draw_taster(rng))
    return _lifted(plain, plain.taste, size, surface, bean.peak)


def random_surface_parts(seed: int, rng: np.random.Generator) -> Rough:
    """A surface of sd 0.8–1.2 and nothing else; the balance notes follow another one, the clock stays physical."""
    kit = draw_kit(rng)
    bean = ridge.draw_bean(rng, kit)
    clock = ridge.draw_clock(rng, bean)
    surface, size, other = draw_smooth(rng, kit), float(rng.uniform(0.8, 1.2)), draw_smooth(rng, kit)
    taster = replace(draw_taster(rng), gain=1.0)
    plain = ridge.assemble("random_surface", seed, kit=kit, bean=bean, clock=clock, taster=taster)
    return _lifted(replace(plain, lean=other), _nothing, size, surface, bean.peak)


def bumpy_ridge(seed: int, rng: np.random.Generator) -> World:
    """The world of `bumpy_ridge_parts`."""
    return bumpy_ridge_parts(seed, rng).world


def random_surface(seed: int, rng: np.random.Generator) -> World:
    """The world of `random_surface_parts`."""
    return random_surface_parts(seed, rng).world


def _nothing(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
    return np.zeros(np.broadcast_shapes(np.shape(fine), np.shape(dose_g), np.shape(temp_c)))


def _lifted(plain: World, even: Surface, size: float, surface: Smooth, peak: float) -> Rough:
    """`even` plus the surface, moved up or down until its best setting is worth `peak`, kept within 0–10."""

    def rough(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        return np.asarray(even(fine, dose_g, temp_c) + size * surface(fine, dose_g, temp_c))

    lift = peak - float(replace(plain, taste=rough).best_liking)

    def taste(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        return np.clip(rough(fine, dose_g, temp_c) + lift, 0, 10)

    def lifted_even(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        return np.asarray(even(fine, dose_g, temp_c) + lift)

    return Rough(world=replace(plain, taste=taste), even=lifted_even, size=size, surface=surface)
