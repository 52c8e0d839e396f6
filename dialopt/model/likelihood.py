"""How likely the log is under the trade's mean function.

A shot may be an outlier, its puck bad, without anybody having marked it. The time, the notes and the strength of one
shot are independent given the parameters and whether it was an outlier; scores share the peak and the discrepancy,
which are integrated out exactly (Rasmussen & Williams 2006, algorithm 2.1).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr, ndtri_exp

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
_JUST_BELOW_0 = -1e-15
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
    """m scores and K verdicts of a log, and the peak and discrepancy that they share.

    A verdict is a difference v of two likings, noise included, of which only is known in which interval it lies: above
    same_within, below −same_within or between (Thurstone's model with ties). It is a hidden number, after which it
    counts like a score.
    """

    def __init__(self, observations: Observations, *, scores: bool = True) -> None:
        self.at = observations.at
        self.scored = observations.scored & scores
        self.score = observations.score[self.scored]
        self._one, self._other, self._says = observations.one, observations.other, observations.says
        every = basis(observations.at)
        self.features = np.concatenate([every[self.scored], every[self._one] - every[self._other]])
        self.kernel = self.features @ self.features.T
        self.peak = np.concatenate([np.ones(len(self.score)), np.zeros(len(self._says))])
        """What each row holds of the peak, which a difference holds nothing of."""

    def __len__(self) -> int:
        return len(self.peak)

    def level(self, terms: ShotTerms) -> Floats:
        """Expected score of each tasting at the usual peak, and difference of each verdict, (P, m + K)."""
        lost = liking_lost(terms.parameters, self.at, terms.index)
        return np.concatenate([PEAK.centre - lost[:, self.scored], lost[:, self._other] - lost[:, self._one]], axis=1)

    def outlier_log_odds(self, terms: ShotTerms, level: Floats) -> Floats:
        """Log odds for each shot of being an outlier, as if the discrepancy were noise of its own, shape (P, n)."""
        odds = terms.outlier - terms.sound
        if len(self.score):
            gap = self.score - level[:, : len(self.score)]
            gap = gap - np.median(gap, axis=1, keepdims=True)
            spread = np.hypot(taster_sd(terms.parameters), terms.parameters["discrepancy_sd"])
            outlier = log_normal(gap - OUTLIER_SCORE[0], np.hypot(spread, OUTLIER_SCORE[1]))
            odds[:, self.scored] += outlier - log_normal(gap, spread)
        return np.clip(odds, -_SURE_ODDS, _SURE_ODDS)

    def differences(
        self, parameters: Parameters, level: Floats, outlier: Bools, rng: np.random.Generator
    ) -> tuple[Floats, Floats]:
        """A draw of each verdict's difference from where it lies, (P, K), and the log density of the draw, (P,)."""
        first = len(self.score)
        if first == len(self):
            return np.empty((len(level), 0)), np.zeros(len(level))
        mean = (level + self._shift(outlier))[:, first:]
        own = parameters["discrepancy_sd"] ** 2 * np.diagonal(self.kernel)[first:]
        sd = np.sqrt(own + self.noise_variance(parameters, outlier)[:, first:])
        same = parameters["same_within"]
        low = np.where(self._says > 0, same, np.where(self._says < 0, -np.inf, -same))
        high = np.where(self._says > 0, np.inf, np.where(self._says < 0, -same, same))
        low, high = (low - mean) / sd, (high - mean) / sd
        # In the lower tail, where logs stay exact however unlikely the interval.
        side = np.where(low > 0, -1.0, 1.0)
        low, high = np.where(low > 0, -high, low), np.where(low > 0, -low, high)
        under, over = log_ndtr(low), log_ndtr(high)
        log_chance = over + np.log1p(-np.exp(np.minimum(under - over, _JUST_BELOW_0)))
        z = ndtri_exp(np.logaddexp(under, log_chance + np.log1p(-rng.random(mean.shape))))
        z = side * np.clip(z, low, high)
        return mean + sd * z, np.asarray((log_normal(sd * z, sd) - log_chance).sum(axis=1))

    def gap_and_covariance(
        self, parameters: Parameters, level: Floats, outlier: Bools, differences: Floats
    ) -> tuple[Floats, Floats]:
        """Scores and differences less their mean, (P, m + K), and their covariance with peak and discrepancy in it."""
        seen = np.concatenate([np.broadcast_to(self.score, (len(level), len(self.score))), differences], axis=1)
        gap = seen - level - self._shift(outlier)
        covariance = PEAK.spread**2 * np.outer(self.peak, self.peak)
        covariance = covariance + parameters["discrepancy_sd"][:, :, None] ** 2 * self.kernel
        diagonal = np.arange(len(self))
        covariance[:, diagonal, diagonal] += self.noise_variance(parameters, outlier)
        return gap, covariance

    def log_evidence(self, parameters: Parameters, level: Floats, outlier: Bools, differences: Floats) -> Floats:
        """Log density of all scores and differences given the parameters and which shots were outliers, (P,)."""
        density = np.empty(len(level))
        block = max(1, _CACHED // len(self) ** 2)
        for start in range(0, len(level), block):
            rows = slice(start, start + block)
            gap, covariance = self.gap_and_covariance(
                parameters.rows(rows), level[rows], outlier[rows], differences[rows]
            )
            density[rows] = log_joint_normal(gap, covariance)
        return density

    def noise_variance(self, parameters: Parameters, outlier: Bools) -> Floats:
        """Variance of a score around the liking of its recipe, and of a difference around that of two, (P, m + K)."""
        each = OUTLIER_SCORE[1] ** 2 * outlier
        return np.concatenate(
            [
                taster_sd(parameters) ** 2 + each[:, self.scored],
                parameters["verdict_sd"] ** 2 + each[:, self._one] + each[:, self._other],
            ],
            axis=1,
        )

    def _shift(self, outlier: Bools) -> Floats:
        worse = OUTLIER_SCORE[0] * outlier
        return np.concatenate([worse[:, self.scored], worse[:, self._one] - worse[:, self._other]], axis=1)


def lapse(parameters: Parameters) -> Floats:
    """Share of balance notes that say nothing; never quite all."""
    return np.minimum(parameters["note_lapse"], _MOST_LAPSES)


def taster_sd(parameters: Parameters) -> Floats:
    """Repeat noise of a noted score, rounding to halves included."""
    return np.asarray(np.sqrt(parameters["taster_sd"] ** 2 + _SCORE_ROUNDING))
