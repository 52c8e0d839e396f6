"""Ridges whose taster is special: `biased_palate`, `no_notes`, `flipped_notes`, `useless_notes`, `heavy_tails`."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from experiments.worlds import ridge
from experiments.worlds.world import World


def biased_palate(seed: int, rng: np.random.Generator) -> World:
    """Balance notes shifted by 0.7–1.3 of a step, to either side."""
    plain = ridge.make(seed, rng, "biased_palate")
    shift = float(rng.uniform(0.7, 1.3) * rng.choice([-1, 1]))
    return replace(plain, taster=replace(plain.taster, offset=shift))


def no_notes(seed: int, rng: np.random.Generator) -> World:
    """A taster who notes no balance."""
    plain = ridge.make(seed, rng, "no_notes")
    return replace(plain, taster=replace(plain.taster, notes=False))


def flipped_notes(seed: int, rng: np.random.Generator) -> World:
    """A taster who says sour for bitter and bitter for sour."""
    plain = ridge.make(seed, rng, "flipped_notes")
    return replace(plain, taster=replace(plain.taster, gain=-plain.taster.gain))


def useless_notes(seed: int, rng: np.random.Generator) -> World:
    """Balance notes that say nothing about the cup."""
    plain = ridge.make(seed, rng, "useless_notes")
    return replace(plain, taster=replace(plain.taster, gain=0.0, note_sd=1.2))


def heavy_tails(seed: int, rng: np.random.Generator) -> World:
    """Score noise with Student-t tails of 2.5 freedoms, from a taster so generous that good cups pile up at 10."""
    plain = ridge.make(seed, rng, "heavy_tails")
    generous = float(rng.uniform(9.3, 10.0)) - plain.best_liking
    return replace(plain, taster=replace(plain.taster, tail_df=2.5, generous=generous))
