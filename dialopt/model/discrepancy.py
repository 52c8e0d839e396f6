"""What the mean function doesn't know: a Matérn-5/2 process over the dials, carried by a small basis.

The process is the one induced by its values at a fixed lattice of settings (the subset-of-regressors form, Rasmussen &
Williams 2006, section 8.3.1), so a draw of it is a draw of as many weights as the lattice has settings.
"""

from __future__ import annotations

import numpy as np

from dialopt.model.observations import Floats

LENGTHS = np.array([0.3, 0.6, 0.6])
"""Length scales in shares of the grind, dose and temperature dials."""

_LATTICE_SIDES = (6, 3, 3)


def matern52(a: Floats, b: Floats, lengths: Floats) -> Floats:
    """Matérn-5/2 correlation between rows of a (n, d) and b (m, d), shape (n, m): (1 + s + s²/3)·e^−s, s = √5·distance.

    Source: Rasmussen & Williams 2006, equation 4.17.
    """
    gap = (a[:, None, :] - b[None, :, :]) / lengths
    s = np.sqrt(5.0 * np.sum(gap**2, axis=-1))
    return np.asarray((1.0 + s + s**2 / 3.0) * np.exp(-s))


def _lattice() -> Floats:
    sides = [np.linspace(0.0, 1.0, side) for side in _LATTICE_SIDES]
    return np.stack(np.meshgrid(*sides, indexing="ij"), axis=-1).reshape(-1, 3)


_POINTS = _lattice()
_ROOT = np.linalg.inv(np.linalg.cholesky(matern52(_POINTS, _POINTS, LENGTHS) + 1e-8 * np.eye(len(_POINTS))))


def basis(cube: Floats) -> Floats:
    """Features of n settings in the unit cube, shape (n, M); with standard normal weights they draw the unit
    process."""
    return matern52(cube, _POINTS, LENGTHS) @ _ROOT.T
