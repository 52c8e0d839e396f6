"""Worlds with a random smooth surface: `bumpy_ridge` adds one to a ridge, `random_surface` is nothing else.

A surface over the dials is a draw from a Matérn-5/2 process by random Fourier features. Rahimi & Recht 2007 (memory):
the spectral density of a Matérn kernel of smoothness ν is a Student-t of 2ν freedoms.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from experiments.worlds import ridge
from experiments.worlds.bench import Floats, Kit, draw_taster
from experiments.worlds.world import Surface, World

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
    kit, bean, flow = ridge.draw(rng)
    surface, size = draw_smooth(rng, kit), float(rng.uniform(0.45, 0.7))
    plain = ridge.assemble("bumpy_ridge", seed, kit=kit, bean=bean, flow=flow, taster=draw_taster(rng))
    return _lifted(plain, plain.taste, size, surface, bean.peak)


def random_surface_parts(seed: int, rng: np.random.Generator) -> Rough:
    """A surface of sd 0.8–1.2 and nothing else; the balance notes follow another one, the shot time stays physical."""
    kit, bean, flow = ridge.draw(rng)
    surface, size, other = draw_smooth(rng, kit), float(rng.uniform(0.8, 1.2)), draw_smooth(rng, kit)
    taster = replace(draw_taster(rng), gain=1.0)
    plain = ridge.assemble("random_surface", seed, kit=kit, bean=bean, flow=flow, taster=taster)
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
