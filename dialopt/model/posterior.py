"""Joint draws of what may be true of a pairing, given its log."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import expit

from dialopt.model.anneal import Weighed, anneal
from dialopt.model.gaussian import correction
from dialopt.model.likelihood import Tastings, noise_variance, shot_terms
from dialopt.model.priors import PEAK, Curve, unpack
from dialopt.model.residual import basis
from dialopt.model.start import Start
from dialopt.model.table import Bools, Floats, Settings, Table
from dialopt.model.trade_curve import extraction_index, liking_lost, log_clock

_CLOCK_MOVES = 4
_TASTE_MOVES = 6
_MOST_POWERS, _MOST_POWERS_OF_MANY, _MANY = 40, 11, 20
"""Powers at most on the way to the posterior, and where there are more than that many tastings, each of whose powers
takes long. An ordinary log of forty tastings takes six to eight; one that contradicts itself would take thirty."""
_BLOCK = 64
"""Draws worked on at a time where there are many settings: what they need then stays in the processor's cache."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TradeDraws:
    """P equally likely draws of the trade's curve, the peak and the residual.

    coordinates: (P, k) standard coordinates. curve: natural values. peak: (P, 1). weights: (P, M) of the residual's
    basis. spoiled: (P, n) which shots were spoiled. odd: (n,) the chance of that by clock, notes and strength alone.
    log_evidence: log density of the scores given these.
    """

    coordinates: Floats
    curve: Curve
    peak: Floats
    weights: Floats
    spoiled: Bools
    odd: Floats
    log_evidence: float

    def log_clock(self, at: Settings) -> Floats:
        """Median log shot time, (P, n)."""
        return log_clock(self.curve, at)

    def index(self, at: Settings, clock: Floats) -> Floats:
        """Extraction index, (P, n)."""
        return extraction_index(self.curve, at, clock)

    def liking(self, at: Settings) -> Floats:
        """Liking of an average puck, points, (P, n)."""
        features = basis(at.box).T
        liking = np.empty((len(self.peak), features.shape[1]))
        for start in range(0, len(liking), _BLOCK):
            rows = slice(start, start + _BLOCK)
            curve = self.curve.rows(rows)
            index = extraction_index(curve, at, log_clock(curve, at))
            residual = curve["residual_sd"] * (self.weights[rows] @ features)
            liking[rows] = self.peak[rows] - liking_lost(curve, at, index) + residual
        return liking


def sample_trade(table: Table, start: Start, rng: np.random.Generator, draws: int) -> TradeDraws:
    """Draws from the posterior of the trade's curve; the start itself for an empty table.

    First the clock, the notes and the strength are brought in with every shot's hidden state summed out, then the
    scores. What the second stage adds is the density of the scores given the rest.
    """
    tastings = Tastings(table)

    def weigh_clock(points: Floats, rng: np.random.Generator) -> Weighed:
        terms = shot_terms(unpack(points), table)
        hidden = np.zeros(terms.sound.shape, dtype=bool)
        return Weighed(points=points, base=start.log_density(points), gain=terms.summed, hidden=hidden)

    def weigh_taste(points: Floats, rng: np.random.Generator) -> Weighed:
        curve = unpack(points)
        terms = shot_terms(curve, table)
        level = tastings.level(terms)
        odds = tastings.spoiled_odds(terms, level)
        chance = 1.0 / (1.0 + np.exp(-odds))
        hidden = rng.random(odds.shape) < chance
        drawn = np.where(hidden, np.log(chance), np.log1p(-chance)).sum(axis=1)
        together = np.where(hidden, terms.spoiled, terms.sound).sum(axis=1)
        together += tastings.log_evidence(curve, level, hidden)
        summed = terms.summed
        return Weighed(
            points=points, base=start.log_density(points) + summed, gain=together - drawn - summed, hidden=hidden
        )

    cloud, _ = anneal(weigh_clock, start.draw(draws, rng), rng, moves=_CLOCK_MOVES, most_powers=_MOST_POWERS)
    terms = shot_terms(unpack(cloud.points), table)
    odd = expit(terms.spoiled - terms.sound).mean(axis=0)
    log_evidence = 0.0
    if len(tastings.score):
        most = _MOST_POWERS if len(tastings.score) <= _MANY else _MOST_POWERS_OF_MANY
        cloud, log_evidence = anneal(weigh_taste, cloud.points, rng, moves=_TASTE_MOVES, most_powers=most)
    return _complete(cloud, table, tastings, odd, log_evidence, rng)


def _complete(
    cloud: Weighed, table: Table, tastings: Tastings, odd: Floats, log_evidence: float, rng: np.random.Generator
) -> TradeDraws:
    """Adds to each draw a peak and a residual from their exact conditional: a prior draw, corrected by the data."""
    curve = unpack(cloud.points)
    count = len(cloud.points)
    peak = PEAK.centre + PEAK.spread * rng.standard_normal((count, 1))
    weights = rng.standard_normal((count, tastings.features.shape[1]))
    if len(tastings.score):
        level = tastings.level(shot_terms(curve, table))
        gap, covariance = tastings.gap_and_covariance(curve, level, cloud.hidden)
        noise = np.sqrt(noise_variance(curve, cloud.hidden[:, tastings.scored]))
        imagined = (peak - PEAK.centre) + curve["residual_sd"] * (weights @ tastings.features.T)
        imagined = imagined + noise * rng.standard_normal(gap.shape)
        pull = correction(gap - imagined, covariance)
        peak = peak + PEAK.spread**2 * pull.sum(axis=1, keepdims=True)
        weights = weights + curve["residual_sd"] * (pull @ tastings.features)
    return TradeDraws(
        coordinates=cloud.points,
        curve=curve,
        peak=peak,
        weights=weights,
        spoiled=cloud.hidden,
        odd=odd,
        log_evidence=log_evidence,
    )
