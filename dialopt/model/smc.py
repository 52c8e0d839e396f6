"""Draws from a posterior by tempering a cloud of particles from an easier distribution into it.

Tempered sequential Monte Carlo (Del Moral, Doucet & Jasra 2006) with steps that leave the normal fitted to the cloud
invariant (preconditioned Crank–Nicolson), corrected by Metropolis–Hastings. Hidden states and numbers are drawn afresh
with every proposed point and weighed by their own density, so that they are integrated over.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from dialopt.model.observations import Bools, Floats

_LEAST_VARIANCE = 0.005
_TARGET_ACCEPTANCE = 0.2
_PART = 0.4
_HURRIED = 3


@dataclass(slots=True, kw_only=True)
class Particles:
    """P points with their densities: log target at inverse temperature β is `log_base + β · log_likelihood`.

    points: (P, k). log_base, log_likelihood: (P,). hidden: on–off states, (P, n). latent: hidden numbers, (P, m).
    """

    points: Floats
    log_base: Floats
    log_likelihood: Floats
    hidden: Bools
    latent: Floats

    def take(self, chosen: np.ndarray) -> Particles:
        """The points of these indices."""
        return Particles(
            points=self.points[chosen],
            log_base=self.log_base[chosen],
            log_likelihood=self.log_likelihood[chosen],
            hidden=self.hidden[chosen],
            latent=self.latent[chosen],
        )

    def replace_where(self, better: Bools, other: Particles) -> None:
        """Takes over the other's points where `better` holds, shape (P,)."""
        for name in ("points", "log_base", "log_likelihood", "hidden", "latent"):
            getattr(self, name)[better] = getattr(other, name)[better]


Weigh = Callable[[Floats, np.random.Generator], Particles]


def tempered_smc(
    weigh: Weigh, start: Floats, rng: np.random.Generator, *, moves: int, most_temperatures: int
) -> tuple[Particles, float]:
    """P equally weighted draws from exp(log_base + log_likelihood), from P draws `start` of exp(log_base), and log of
    the mean of exp(log_likelihood) under the base, which is the log evidence.

    weigh: densities of points, with hidden states drawn from the generator. moves: steps at each temperature.
    most_temperatures: how many temperatures at most; the last three take shares of what is left, whatever that costs in
    effective size.
    """
    particles = weigh(start, rng)
    count = len(start)
    inverse_temperature, log_evidence, step_size = 0.0, 0.0, 1.0
    for left in range(most_temperatures, 0, -1):
        step = _next_step(particles.log_likelihood, 1.0 - inverse_temperature)
        if left <= _HURRIED:
            step = max(step, (1.0 - inverse_temperature) / left)
        log_weight = step * particles.log_likelihood
        top = float(np.max(log_weight))
        weight = np.exp(log_weight - top)
        log_evidence += top + float(np.log(np.mean(weight)))
        inverse_temperature = 1.0 if step >= 1.0 - inverse_temperature else inverse_temperature + step
        centre, root = _fit(particles.points, weight / weight.sum())
        particles = particles.take(_systematic(weight / weight.sum(), count, rng))
        away = (particles.points - centre) @ np.linalg.inv(root).T
        for number in range(moves):
            # Whole moves carry the bulk; moves of some directions only free a point that sits in a narrow corner.
            share = 1.0 if number % 2 == 0 else _PART
            step_size = _move(weigh, particles, away, inverse_temperature, centre, root, step_size, share, rng)
        if inverse_temperature == 1.0:
            break
    return particles, log_evidence


def _move(
    weigh: Weigh,
    particles: Particles,
    away: Floats,
    inverse_temperature: float,
    centre: Floats,
    root: Floats,
    step_size: float,
    share: float,
    rng: np.random.Generator,
) -> float:
    """One Metropolis–Hastings step of every point along a share of the directions, in place; returns the step size.

    away: the points in units of the fitted normal, (P, k): centre + root · away. Kept up with them.
    """
    step_sizes = np.clip(step_size * np.exp(0.5 * rng.standard_normal((len(away), 1))), 0.02, 1.0)
    away_new = np.sqrt(1.0 - step_sizes**2) * away + step_sizes * rng.standard_normal(away.shape)
    if share < 1.0:
        away_new = np.where(rng.random(away.shape) < share, away_new, away)
    proposed = weigh(centre + away_new @ root.T, rng)
    log_odds = (
        proposed.log_base + inverse_temperature * proposed.log_likelihood + 0.5 * np.sum(away_new**2, axis=1)
    ) - (particles.log_base + inverse_temperature * particles.log_likelihood + 0.5 * np.sum(away**2, axis=1))
    accepted = np.log(rng.random(len(away))) < log_odds
    particles.replace_where(accepted, proposed)
    away[accepted] = away_new[accepted]
    if share < 1.0:
        return step_size
    return float(np.clip(step_size * np.exp(accepted.mean() - _TARGET_ACCEPTANCE), 0.1, 1.0))


def _next_step(log_likelihood: Floats, left: float) -> float:
    """The largest rise of the inverse temperature, up to what is left, that keeps half of the cloud's effective
    size."""
    if _effective_share(left * log_likelihood) >= 0.5:
        return left
    low, high = 0.0, left
    for _ in range(20):
        middle = (low + high) / 2
        if _effective_share(middle * log_likelihood) >= 0.5:
            low = middle
        else:
            high = middle
    return max(low, left * 1e-9)


def _effective_share(log_weight: Floats) -> float:
    weight = np.exp(log_weight - np.max(log_weight))
    return float(weight.sum() ** 2 / np.sum(weight**2) / len(weight))


def _fit(points: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Mean and triangular root of the covariance of a weighted cloud, kept from collapsing."""
    centre = weight @ points
    away = points - centre
    covariance = (away.T * weight) @ away + _LEAST_VARIANCE * np.eye(points.shape[1])
    return centre, np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)


def _systematic(weight: Floats, count: int, rng: np.random.Generator) -> np.ndarray:
    """Indices of a systematic resampling."""
    ticks = (np.arange(count) + rng.random()) / count
    return np.minimum(np.searchsorted(np.cumsum(weight), ticks), count - 1)
