"""Simulated worlds: `make("ridge", seed=0)`."""

from __future__ import annotations

from collections.abc import Callable
from zlib import crc32

import numpy as np

from experiments.worlds import bumps, physical, ridge, variants, wide
from experiments.worlds.pairs import PAIRS, make_pair
from experiments.worlds.world import World

__all__ = ["DEVELOPMENT", "FAMILIES", "HELD_OUT", "PAIRS", "WIDE", "World", "make", "make_pair"]

DEVELOPMENT: dict[str, Callable[..., World]] = {
    "ridge": ridge.make,
    "cliff": variants.cliff,
    "biased_palate": variants.biased_palate,
    "no_notes": variants.no_notes,
    "bumpy_ridge": bumps.bumpy_ridge,
    "random_surface": bumps.random_surface,
}
"""Families that priors and settings may be chosen on."""

HELD_OUT: dict[str, Callable[..., World]] = {
    "physical": physical.make,
    "two_peaks": variants.two_peaks,
    "edge": variants.edge,
    "weak_dial": variants.weak_dial,
    "drift": variants.drift,
    "flipped_notes": variants.flipped_notes,
    "useless_notes": variants.useless_notes,
    "heavy_tails": variants.heavy_tails,
}
"""Families that are only ever scored on."""

WIDE: dict[str, Callable[..., World]] = {
    "usual_ratio": wide.usual_ratio,
    "wants_longer": wide.wants_longer,
    "wants_shorter": wide.wants_shorter,
    "flat": wide.flat,
    "loud": wide.loud,
}
"""Families of bags that are wider than a ridge at one ratio."""

FAMILIES = DEVELOPMENT | HELD_OUT | WIDE


def make(family: str, seed: int, **options: object) -> World:
    """World number `seed` of a family of `FAMILIES`; the same arguments give the same world."""
    if family not in FAMILIES:
        raise KeyError(f"There is no family {family!r}; there are {', '.join(FAMILIES)}.")
    return FAMILIES[family](seed, np.random.default_rng([crc32(family.encode()), seed]), **options)
