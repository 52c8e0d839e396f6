"""Where the best setting lies: a credible region from joint draws of it."""

from __future__ import annotations

import numpy as np

from dialopt.model.observations import Floats

_LEAST_SPREAD = 0.02


class Region:
    """Highest-density regions of the best setting's posterior, smoothed by a normal kernel on its draws.

    best: draws of the best setting in the unit cube, (P, d). spacing: how coarsely each dial was looked at, (d,).
    """

    def __init__(self, best: Floats, spacing: Floats) -> None:
        count, dials = best.shape
        spread = np.cov(best, rowvar=False).reshape(dials, dials)
        # Silverman's factor, and the lattice's own grain: a draw stands for all settings around it.
        factor = (4.0 / ((dials + 2.0) * count)) ** (1.0 / (dials + 4.0))
        kernel = factor**2 * spread + np.diag((spacing / 2.0) ** 2 + _LEAST_SPREAD**2)
        self._root = np.linalg.inv(np.linalg.cholesky(kernel))
        self._spots, numbers = np.unique(best, axis=0, return_counts=True)
        self._share = numbers / count
        self._spot_density = self.density(self._spots)

    def density(self, cube: Floats) -> Floats:
        """Relative density of the best setting at n settings, (n,)."""
        there, spots = cube @ self._root.T, self._spots @ self._root.T
        gap = np.sum(there**2, axis=1)[:, None] + np.sum(spots**2, axis=1) - 2.0 * there @ spots.T
        return np.asarray(np.exp(-0.5 * np.maximum(gap, 0.0)) @ self._share)

    def threshold(self, level: float) -> float:
        """The density above which that share of the best setting's draws lies."""
        order = np.argsort(-self._spot_density)
        reached = np.cumsum(self._share[order]) >= min(level, 1.0) - 1e-9
        return float(self._spot_density[order][int(np.argmax(reached))])

    def contains(self, cube: Floats, level: float) -> np.ndarray:
        """Whether the region of that level holds each of n settings, (n,)."""
        return np.asarray(self.density(cube) >= self.threshold(level) * (1 - 1e-9))
