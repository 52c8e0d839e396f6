"""What the mean function doesn't know: a Matérn-5/2 process over the dials, carried by a small basis.

The process is the one induced by its values at a fixed lattice of settings (the subset-of-regressors form, Rasmussen &
Williams 2006, section 8.3.1), so a draw of it is a draw of as many weights as the lattice has settings.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from dialopt.model.observations import Floats, Inputs

LENGTHS = np.array([0.3, 0.6, 0.6, 0.6])
"""Length scales in shares of the grind, dose, temperature and ratio dials."""

_SIDES = (6, 3, 3, 3)
"""Settings of each dial on the lattice."""


def matern52(a: Floats, b: Floats, lengths: Floats) -> Floats:
    """Matérn-5/2 correlation between rows of a (n, d) and b (m, d), shape (n, m): (1 + s + s²/3)·e^−s, s = √5·distance.

    Source: Rasmussen & Williams 2006, equation 4.17.
    """
    gap = (a[:, None, :] - b[None, :, :]) / lengths
    s = np.sqrt(5.0 * np.sum(gap**2, axis=-1))
    return np.asarray((1.0 + s + s**2 / 3.0) * np.exp(-s))


@lru_cache(maxsize=16)
def _lattice(turned: tuple[bool, ...]) -> tuple[Floats, Floats]:
    """Settings of the lattice, (M, 4), and the root that makes their values independent, (M, M)."""
    sides = [np.linspace(0.0, 1.0, side) if turns else [0.5] for side, turns in zip(_SIDES, turned, strict=True)]
    points = np.stack(np.meshgrid(*sides, indexing="ij"), axis=-1).reshape(-1, len(sides))
    return points, np.linalg.inv(np.linalg.cholesky(matern52(points, points, LENGTHS) + 1e-8 * np.eye(len(points))))


def basis(at: Inputs) -> Floats:
    """Features of n settings, shape (n, M); with standard normal weights they draw the unit process. A dial of one
    setting takes no part."""
    points, root = _lattice(at.turned)
    return matern52(at.cube, points, LENGTHS) @ root.T
