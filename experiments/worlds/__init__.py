"""Simulated worlds: `make("ridge", seed=0)`."""

from __future__ import annotations

from collections.abc import Callable
from zlib import crc32

import numpy as np

from experiments.worlds import bumps, cliff, drift, palates, physical, ridge, shapes
from experiments.worlds.pairs import PAIRS, make_pair
from experiments.worlds.world import World

__all__ = ["DEVELOPMENT", "FAMILIES", "HELD_OUT", "PAIRS", "World", "make", "make_pair"]

DEVELOPMENT: dict[str, Callable[..., World]] = {
    "ridge": ridge.make,
    "cliff": cliff.make,
    "biased_palate": palates.biased_palate,
    "no_notes": palates.no_notes,
    "bumpy_ridge": bumps.bumpy_ridge,
    "random_surface": bumps.random_surface,
}
"""Families that priors and settings may be chosen on."""

HELD_OUT: dict[str, Callable[..., World]] = {
    "physical": physical.make,
    "two_peaks": shapes.two_peaks,
    "edge": shapes.edge,
    "weak_dial": shapes.weak_dial,
    "drift": drift.make,
    "flipped_notes": palates.flipped_notes,
    "useless_notes": palates.useless_notes,
    "heavy_tails": palates.heavy_tails,
}
"""Families that are only ever scored on."""

FAMILIES = DEVELOPMENT | HELD_OUT


def make(family: str, seed: int, **options: object) -> World:
    """World number `seed` of a family of `FAMILIES`; the same arguments give the same world."""
    if family not in FAMILIES:
        raise KeyError(f"There is no family {family!r}; there are {', '.join(FAMILIES)}.")
    return FAMILIES[family](seed, np.random.default_rng([crc32(family.encode()), seed]), **options)
