"""How likely the log is under the trade's mean function.

A shot may be an outlier, its puck bad, without anybody having marked it. The time, the notes and the strength of one
shot are independent given the parameters and whether it was an outlier; scores share the peak and the discrepancy,
which are integrated out exactly (Rasmussen & Williams 2006, algorithm 2.1).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr

from dialopt.model.discrepancy import basis
from dialopt.model.mean_function import extraction_index, liking_lost, median_log_time
from dialopt.model.normal import log_joint_normal, log_normal, log_sum
from dialopt.model.observations import CHOKED_S, Bools, Floats, Observations
from dialopt.model.outcome_model import NOTE_STEPS, log_note
from dialopt.model.priors import PEAK, Parameters
from dialopt.trade.likely_time import USUAL_S

TIME_READING = 0.3 / USUAL_S
"""How far the noted time of a usual shot is off from whole seconds alone, 1/√12 s, in logs; the hand adds to it (common
practice)."""
OUTLIER_TIME = (-0.45, 0.22)
"""Shift and spread of a channelled puck's log time."""
OUTLIER_TIME_SHARE = 0.8
"""Share of outliers whose time shows it."""
SLIP_SHARE, SLIP_SPREAD = 0.05, 1.5
"""Share of outliers whose noted time is mistyped, and how far in logs it may be off."""
OUTLIER_SCORE = (-1.8, 1.2)
"""Shift and spread of an outlier's score."""
_CACHED = 2**17
"""Numbers that the covariances worked on at a time may hold: a megabyte stays in the processor's cache."""
_MOST_LAPSES = 0.9
_CHOKING_SPREAD = 0.15
_OUTLIER_YIELD_SPREAD = 2.0
_SURE_ODDS = 6.0
_SCORE_ROUNDING = 0.5**2 / 12.0


@dataclass(slots=True, kw_only=True)
class ShotTerms:
    """Log densities of each shot's time, note and strength under P draws, shape (P, n): sound pucks and outliers."""

    parameters: Parameters
    index: Floats
    sound: Floats
    outlier: Floats

    @property
    def summed(self) -> Floats:
        """Log likelihood with the hidden states summed out, shape (P,)."""
        return np.asarray(log_sum(self.sound, self.outlier).sum(axis=1))


def shot_terms(parameters: Parameters, observations: Observations, outlier_share: float) -> ShotTerms:
    """Terms of everything but the score, with the chance of either state counted in."""
    log_time = median_log_time(parameters, observations.at)
    index = extraction_index(parameters, observations.at, log_time)
    sound = np.full(log_time.shape, np.log1p(-outlier_share))
    outlier = np.full(log_time.shape, np.log(outlier_share))

    timed = ~np.isnan(observations.log_time)
    if timed.any():
        gap = observations.log_time[timed] - log_time[:, timed]
        scatter = np.hypot(parameters["time_sd"], TIME_READING)
        kept = log_normal(gap, scatter)
        ran = log_normal(gap - OUTLIER_TIME[0], np.hypot(scatter, OUTLIER_TIME[1]))
        sound[:, timed] += kept
        slipped = log_normal(gap, np.full((1, 1), SLIP_SPREAD))
        unshown = log_sum(np.log1p(-OUTLIER_TIME_SHARE - SLIP_SHARE) + kept, np.log(SLIP_SHARE) + slipped)
        outlier[:, timed] += log_sum(np.log(OUTLIER_TIME_SHARE) + ran, unshown)
    if observations.choked.any():
        late = log_ndtr((log_time[:, observations.choked] - np.log(CHOKED_S)) / _CHOKING_SPREAD)
        sound[:, observations.choked] += late
        outlier[:, observations.choked] += late
    noted = ~np.isnan(observations.balance)
    if noted.any():
        sound[:, noted] += log_note(
            observations.balance[noted],
            middle=parameters["note_offset"] + parameters["note_gain"] * index[:, noted],
            sd=parameters["note_sd"],
            lapse=lapse(parameters),
        )
        outlier[:, noted] -= np.log(NOTE_STEPS)
    measured = ~np.isnan(observations.extraction)
    if measured.any():
        gap = (
            observations.extraction[measured]
            - parameters["yield_best"]
            - parameters["yield_slope"] * index[:, measured]
        )
        sound[:, measured] += log_normal(gap, parameters["yield_sd"])
        outlier[:, measured] += log_normal(gap, np.hypot(parameters["yield_sd"], _OUTLIER_YIELD_SPREAD))
    return ShotTerms(parameters=parameters, index=index, sound=sound, outlier=outlier)


class Tastings:
    """The scores of a table and the process that they share."""

    def __init__(self, observations: Observations) -> None:
        self.scored = observations.scored
        self.at = observations.at
        self.score = observations.score[self.scored]
        self.features = basis(observations.at.rows(self.scored))
        self.kernel = self.features @ self.features.T

    def level(self, terms: ShotTerms) -> Floats:
        """Expected score of each tasting at the usual peak, shape (P, m)."""
        return PEAK.centre - liking_lost(terms.parameters, self.at, terms.index)[:, self.scored]

    def outlier_log_odds(self, terms: ShotTerms, level: Floats) -> Floats:
        """Log odds for each shot of being an outlier, as if the discrepancy were noise of its own, shape (P, n)."""
        odds = terms.outlier - terms.sound
        gap = self.score - level
        gap = gap - np.median(gap, axis=1, keepdims=True)
        spread = np.hypot(taster_sd(terms.parameters), terms.parameters["discrepancy_sd"])
        outlier = log_normal(gap - OUTLIER_SCORE[0], np.hypot(spread, OUTLIER_SCORE[1]))
        odds[:, self.scored] += outlier - log_normal(gap, spread)
        return np.clip(odds, -_SURE_ODDS, _SURE_ODDS)

    def gap_and_covariance(self, parameters: Parameters, level: Floats, outlier: Bools) -> tuple[Floats, Floats]:
        """Scores less their mean, (P, m), and their covariance with peak and residual in it, (P, m, m)."""
        hit = outlier[:, self.scored]
        gap = self.score - level - OUTLIER_SCORE[0] * hit
        covariance = PEAK.spread**2 + parameters["discrepancy_sd"][:, :, None] ** 2 * self.kernel
        diagonal = np.arange(len(self.score))
        covariance[:, diagonal, diagonal] += noise_variance(parameters, hit)
        return gap, covariance

    def log_evidence(self, parameters: Parameters, level: Floats, outlier: Bools) -> Floats:
        """Log density of all scores given the parameters and which shots were outliers, shape (P,)."""
        density = np.empty(len(level))
        block = max(1, _CACHED // len(self.score) ** 2)
        for start in range(0, len(level), block):
            rows = slice(start, start + block)
            gap, covariance = self.gap_and_covariance(parameters.rows(rows), level[rows], outlier[rows])
            density[rows] = log_joint_normal(gap, covariance)
        return density


def lapse(parameters: Parameters) -> Floats:
    """Share of balance notes that say nothing; never quite all."""
    return np.minimum(parameters["note_lapse"], _MOST_LAPSES)


def taster_sd(parameters: Parameters) -> Floats:
    """Repeat noise of a noted score, rounding to halves included."""
    return np.asarray(np.sqrt(parameters["taster_sd"] ** 2 + _SCORE_ROUNDING))


def noise_variance(parameters: Parameters, outlier: Bools) -> Floats:
    """Variance of a noted score around the liking of its recipe."""
    return taster_sd(parameters) ** 2 + OUTLIER_SCORE[1] ** 2 * outlier
