"""How likely the log is under the trade's curve.

A shot may be spoiled by its puck without anybody having marked it. The clock, the notes and the strength of one shot
are independent given the curve and whether it was spoiled; scores share the peak and the residual process, which are
integrated out exactly (Rasmussen & Williams 2006, algorithm 2.1).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr

from dialopt.model.gaussian import log_joint_normal, log_normal, log_sum
from dialopt.model.outlook import NOTE_STEPS, log_note
from dialopt.model.priors import BAD_SHARE, PEAK, Curve
from dialopt.model.residual import basis
from dialopt.model.table import CHOKED_S, Bools, Floats, Table
from dialopt.model.trade_curve import extraction_index, liking_lost, log_clock
from dialopt.trade.likely_time import USUAL_S

CLOCK_READING = 0.3 / USUAL_S
"""How far the noted time of a usual shot is off from whole seconds alone, 1/√12 s, in logs; the hand adds to it (common
practice)."""
SPOILED_CLOCK = (-0.45, 0.22)
"""Shift and spread of a channelled puck's log time."""
SPOILED_CLOCK_SHARE = 0.8
"""Share of spoiled pucks whose clock shows it."""
SLIP_SHARE, SLIP_SPREAD = 0.05, 1.5
"""Share of spoiled shots whose noted time is a slip of the pen, and how far in logs it may be off."""
SPOILED_SCORE = (-1.8, 1.2)
"""Shift and spread of a spoiled cup's score."""
_CACHED = 2**17
"""Numbers that the covariances worked on at a time may hold: a megabyte stays in the processor's cache."""
_MOST_LAPSES = 0.9
_CHOKING_SPREAD = 0.15
_SPOILED_YIELD_SPREAD = 2.0
_SURE_ODDS = 6.0
_SCORE_ROUNDING = 0.5**2 / 12.0


@dataclass(slots=True, kw_only=True)
class ShotTerms:
    """Log densities of each shot's clock, note and strength under P draws, shape (P, n): sound and spoiled pucks."""

    curve: Curve
    index: Floats
    sound: Floats
    spoiled: Floats

    @property
    def summed(self) -> Floats:
        """Log likelihood with the hidden states summed out, shape (P,)."""
        return np.asarray(log_sum(self.sound, self.spoiled).sum(axis=1))


def shot_terms(curve: Curve, table: Table) -> ShotTerms:
    """Terms of everything but the score, with the chance of either state counted in."""
    clock = log_clock(curve, table.at)
    index = extraction_index(curve, table.at, clock)
    sound = np.full(clock.shape, np.log1p(-BAD_SHARE))
    spoiled = np.full(clock.shape, np.log(BAD_SHARE))

    timed = ~np.isnan(table.log_time)
    if timed.any():
        gap = table.log_time[timed] - clock[:, timed]
        scatter = np.hypot(curve["clock_sd"], CLOCK_READING)
        kept = log_normal(gap, scatter)
        ran = log_normal(gap - SPOILED_CLOCK[0], np.hypot(scatter, SPOILED_CLOCK[1]))
        sound[:, timed] += kept
        slipped = log_normal(gap, np.full((1, 1), SLIP_SPREAD))
        unshown = log_sum(np.log1p(-SPOILED_CLOCK_SHARE - SLIP_SHARE) + kept, np.log(SLIP_SHARE) + slipped)
        spoiled[:, timed] += log_sum(np.log(SPOILED_CLOCK_SHARE) + ran, unshown)
    if table.choked.any():
        late = log_ndtr((clock[:, table.choked] - np.log(CHOKED_S)) / _CHOKING_SPREAD)
        sound[:, table.choked] += late
        spoiled[:, table.choked] += late
    noted = ~np.isnan(table.balance)
    if noted.any():
        sound[:, noted] += log_note(
            table.balance[noted],
            middle=curve["note_offset"] + curve["note_gain"] * index[:, noted],
            sd=curve["note_sd"],
            lapse=lapse(curve),
        )
        spoiled[:, noted] -= np.log(NOTE_STEPS)
    measured = ~np.isnan(table.extraction)
    if measured.any():
        gap = table.extraction[measured] - curve["yield_best"] - curve["yield_slope"] * index[:, measured]
        sound[:, measured] += log_normal(gap, curve["yield_sd"])
        spoiled[:, measured] += log_normal(gap, np.hypot(curve["yield_sd"], _SPOILED_YIELD_SPREAD))
    return ShotTerms(curve=curve, index=index, sound=sound, spoiled=spoiled)


class Tastings:
    """The scores of a table and the process that they share."""

    def __init__(self, table: Table) -> None:
        self.scored = table.scored
        self.at = table.at
        self.score = table.score[self.scored]
        self.features = basis(table.at.box[self.scored])
        self.kernel = self.features @ self.features.T

    def level(self, terms: ShotTerms) -> Floats:
        """Expected score of each tasting at the usual peak, shape (P, m)."""
        return PEAK.centre - liking_lost(terms.curve, self.at, terms.index)[:, self.scored]

    def spoiled_odds(self, terms: ShotTerms, level: Floats) -> Floats:
        """Log odds for each shot of being spoiled, as if the residual were noise of its own, shape (P, n)."""
        odds = terms.spoiled - terms.sound
        gap = self.score - level
        gap = gap - np.median(gap, axis=1, keepdims=True)
        spread = np.hypot(taster_sd(terms.curve), terms.curve["residual_sd"])
        spoiled = log_normal(gap - SPOILED_SCORE[0], np.hypot(spread, SPOILED_SCORE[1]))
        odds[:, self.scored] += spoiled - log_normal(gap, spread)
        return np.clip(odds, -_SURE_ODDS, _SURE_ODDS)

    def gap_and_covariance(self, curve: Curve, level: Floats, spoiled: Bools) -> tuple[Floats, Floats]:
        """Scores less their mean, (P, m), and their covariance with peak and residual in it, (P, m, m)."""
        hit = spoiled[:, self.scored]
        gap = self.score - level - SPOILED_SCORE[0] * hit
        covariance = PEAK.spread**2 + curve["residual_sd"][:, :, None] ** 2 * self.kernel
        diagonal = np.arange(len(self.score))
        covariance[:, diagonal, diagonal] += noise_variance(curve, hit)
        return gap, covariance

    def log_evidence(self, curve: Curve, level: Floats, spoiled: Bools) -> Floats:
        """Log density of all scores given the curve and which shots were spoiled, shape (P,)."""
        density = np.empty(len(level))
        block = max(1, _CACHED // len(self.score) ** 2)
        for start in range(0, len(level), block):
            rows = slice(start, start + block)
            gap, covariance = self.gap_and_covariance(curve.rows(rows), level[rows], spoiled[rows])
            density[rows] = log_joint_normal(gap, covariance)
        return density


def lapse(curve: Curve) -> Floats:
    """Share of balance notes that say nothing; never quite all."""
    return np.minimum(curve["note_lapse"], _MOST_LAPSES)


def taster_sd(curve: Curve) -> Floats:
    """Repeat noise of a noted score, rounding to halves included."""
    return np.asarray(np.sqrt(curve["taster_sd"] ** 2 + _SCORE_ROUNDING))


def noise_variance(curve: Curve, spoiled: Bools) -> Floats:
    """Variance of a noted score around the liking of its recipe."""
    return taster_sd(curve) ** 2 + SPOILED_SCORE[1] ** 2 * spoiled
