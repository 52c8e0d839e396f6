"""Joint draws of what may be true of a pairing, given its log."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from scipy.special import expit

from dialopt.model.config import MODEL, ModelConfig
from dialopt.model.discrepancy import basis
from dialopt.model.initial import InitialDistribution
from dialopt.model.likelihood import ShotTerms, Tastings, shot_terms
from dialopt.model.mean_function import extraction_index, liking_lost, median_log_time
from dialopt.model.normal import correction
from dialopt.model.observations import Bools, Floats, Inputs, Observations
from dialopt.model.priors import PEAK, Parameters
from dialopt.model.smc import Particles, tempered_smc

_TIME_MOVES = 4
_TASTE_MOVES = 6
_MOST_TEMPERATURES, _MOST_TEMPERATURES_OF_MANY, _MANY = 40, 11, 20
"""Powers at most on the way to the posterior, and where there are more than that many tastings, each of whose powers
takes long. An ordinary log of forty tastings takes six to eight; one that contradicts itself would take thirty."""
_BLOCK = 64
"""Draws worked on at a time where there are many settings: what they need then stays in the processor's cache."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ParametricDraws:
    """P equally likely draws of the trade's mean function, the peak and the discrepancy.

    coordinates: (P, k) standard coordinates. parameters: natural values. peak: (P, 1). weights: (P, M) of the
    discrepancy's basis. outlier: (P, n) which shots were outliers. outlier_before: (n,) the chance of that by time,
    notes and strength alone. log_evidence: log density of the scores given these.
    """

    coordinates: Floats
    parameters: Parameters
    peak: Floats
    weights: Floats
    outlier: Bools
    outlier_before: Floats
    log_evidence: float

    def median_log_time(self, at: Inputs) -> Floats:
        """Median log shot time, (P, n)."""
        return median_log_time(self.parameters, at)

    def index(self, at: Inputs, log_time: Floats) -> Floats:
        """Extraction index, (P, n)."""
        return extraction_index(self.parameters, at, log_time)

    def liking(self, at: Inputs) -> Floats:
        """Liking of an average puck, points, (P, n)."""
        features = basis(at).T
        liking = np.empty((len(self.peak), features.shape[1]))
        for start in range(0, len(liking), _BLOCK):
            rows = slice(start, start + _BLOCK)
            parameters = self.parameters.rows(rows)
            index = extraction_index(parameters, at, median_log_time(parameters, at))
            discrepancy = parameters["discrepancy_sd"] * (self.weights[rows] @ features)
            liking[rows] = self.peak[rows] - liking_lost(parameters, at, index) + discrepancy
        return liking


def sample_parametric(
    observations: Observations,
    start: InitialDistribution,
    rng: np.random.Generator,
    draws: int,
    config: ModelConfig = MODEL,
) -> ParametricDraws:
    """Draws from the posterior of the trade's mean function; the initial distribution itself where there is nothing to
    read.

    First the times, the notes and the strength are brought in with every shot's hidden state summed out, then scores
    and verdicts. What the scores add is their density given the rest.
    """
    tastings = Tastings(observations)

    def terms_of(points: Floats) -> ShotTerms:
        return shot_terms(config.priors.unpack(points), observations, config.outlier_share)

    def weigh_times(points: Floats, rng: np.random.Generator) -> Particles:
        terms = terms_of(points)
        hidden = np.zeros(terms.sound.shape, dtype=bool)
        return Particles(
            points=points,
            log_base=start.log_density(points),
            log_likelihood=terms.summed,
            hidden=hidden,
            latent=np.empty((len(points), 0)),
        )

    def weigh_taste(tastings: Tastings, points: Floats, rng: np.random.Generator) -> Particles:
        terms = terms_of(points)
        level = tastings.level(terms)
        odds = tastings.outlier_log_odds(terms, level)
        chance = 1.0 / (1.0 + np.exp(-odds))
        hidden = rng.random(odds.shape) < chance
        drawn = np.where(hidden, np.log(chance), np.log1p(-chance)).sum(axis=1)
        together = np.where(hidden, terms.outlier, terms.sound).sum(axis=1)
        differences, differences_drawn = tastings.differences(terms.parameters, level, hidden, rng)
        together += tastings.log_evidence(terms.parameters, level, hidden, differences)
        summed = terms.summed
        return Particles(
            points=points,
            log_base=start.log_density(points) + summed,
            log_likelihood=together - drawn - differences_drawn - summed,
            hidden=hidden,
            latent=differences,
        )

    particles, _ = tempered_smc(
        weigh_times, start.draw(draws, rng), rng, moves=_TIME_MOVES, most_temperatures=_MOST_TEMPERATURES
    )
    terms = terms_of(particles.points)
    outlier_before = expit(terms.outlier - terms.sound).mean(axis=0)
    log_evidence = 0.0
    if len(tastings):
        most = _MOST_TEMPERATURES if len(tastings) <= _MANY else _MOST_TEMPERATURES_OF_MANY
        by_times = particles.points

        def brought_in(tastings: Tastings) -> tuple[Particles, float]:
            return tempered_smc(
                partial(weigh_taste, tastings), by_times, rng, moves=_TASTE_MOVES, most_temperatures=most
            )

        particles, log_evidence = brought_in(tastings)
        if 0 < len(tastings.score) < len(tastings):
            log_evidence -= brought_in(Tastings(observations, scores=False))[1]
    return _complete(particles, terms_of(particles.points), tastings, outlier_before, log_evidence, rng)


def _complete(
    particles: Particles,
    terms: ShotTerms,
    tastings: Tastings,
    outlier_before: Floats,
    log_evidence: float,
    rng: np.random.Generator,
) -> ParametricDraws:
    """Adds to each draw a peak and a discrepancy from their exact conditional: a prior draw, corrected by the data."""
    parameters = terms.parameters
    count = len(particles.points)
    peak = PEAK.centre + PEAK.spread * rng.standard_normal((count, 1))
    weights = rng.standard_normal((count, tastings.features.shape[1]))
    if len(tastings):
        level = tastings.level(terms)
        gap, covariance = tastings.gap_and_covariance(parameters, level, particles.hidden, particles.latent)
        noise = np.sqrt(tastings.noise_variance(parameters, particles.hidden))
        fantasies = (peak - PEAK.centre) * tastings.peak
        fantasies = fantasies + parameters["discrepancy_sd"] * (weights @ tastings.features.T)
        fantasies = fantasies + noise * rng.standard_normal(gap.shape)
        pull = correction(gap - fantasies, covariance)
        peak = peak + PEAK.spread**2 * (pull @ tastings.peak)[:, None]
        weights = weights + parameters["discrepancy_sd"] * (pull @ tastings.features)
    return ParametricDraws(
        coordinates=particles.points,
        parameters=parameters,
        peak=peak,
        weights=weights,
        outlier=particles.hidden,
        outlier_before=outlier_before,
        log_evidence=log_evidence,
    )
