"""What one more pull may be noted as, and how each outcome would reweigh the draws."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr, ndtri

from dialopt.model.observations import Floats

NOTE_STEPS = 7
_HALF_STEP = 0.5


def log_note(balance: Floats, *, middle: Floats, sd: Floats, lapse: Floats) -> Floats:
    """Log chance of a balance note: a rounded, noisy reading, or now and then nothing at all.

    P(note) = (1 − lapse)·(Φ((note + ½ − middle)/sd) − Φ((note − ½ − middle)/sd)) + lapse/7, the end steps taking all
    that lies beyond them. The four broadcast together.
    """
    low = np.where(balance <= -3 + 1e-9, -np.inf, balance - _HALF_STEP)
    high = np.where(balance >= 3 - 1e-9, np.inf, balance + _HALF_STEP)
    chance = np.maximum(ndtr((high - middle) / sd) - ndtr((low - middle) / sd), 0.0)
    return np.asarray(np.log(np.maximum((1.0 - lapse) * chance + lapse / NOTE_STEPS, 1e-300)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fantasies:
    """J imagined notes of one pull: score, log time and balance, each (J,)."""

    score: Floats
    log_time: Floats
    balance: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeModel:
    """P draws at n recipes.

    liking, median_log_time, note: expected score, log time and balance, (P, n). score_sd,
    time_sd, note_sd: their noise, (P,). note_lapse: share of notes that say nothing, (P,).
    """

    liking: Floats
    median_log_time: Floats
    note: Floats
    score_sd: Floats
    time_sd: Floats
    note_sd: Floats
    note_lapse: Floats

    def fantasize(self, recipe: int, truth: np.ndarray, uniforms: Floats) -> Fantasies:
        """One pull of a recipe for each of J draws taken as the truth. uniforms: (3, J) levels between 0 and 1."""
        score_z, time_z = ndtri(uniforms[:2])
        lapse, uniform = self.note_lapse[truth], uniforms[2]
        # The lowest uniforms are the notes that say nothing, any step as likely as another.
        lapsed = uniform < lapse
        anything = np.floor(NOTE_STEPS * uniform / np.where(lapsed, lapse, 1.0)) - 3
        said = ndtri(np.where(lapsed, 0.5, (uniform - lapse) / np.where(lapsed, 1.0, 1.0 - lapse)))
        note = self.note[truth, recipe] + self.note_sd[truth] * said
        return Fantasies(
            score=self.liking[truth, recipe] + self.score_sd[truth] * score_z,
            log_time=self.median_log_time[truth, recipe] + self.time_sd[truth] * time_z,
            balance=np.clip(np.where(lapsed, anything, np.rint(note)), -3, 3),
        )

    def repeated(self, times: int) -> OutcomeModel:
        """The mean of so many pulls in the place of one."""
        root = np.sqrt(times)
        return replace(self, score_sd=self.score_sd / root, time_sd=self.time_sd / root, note_sd=self.note_sd / root)

    def log_likelihood(self, recipe: int, outcome: Fantasies) -> Floats:
        """Log density of each outcome under each draw, (P, J)."""
        score = (outcome.score - self.liking[:, [recipe]]) / self.score_sd[:, None]
        time = (outcome.log_time - self.median_log_time[:, [recipe]]) / self.time_sd[:, None]
        density = -0.5 * score**2 - 0.5 * time**2 - np.log(self.score_sd * self.time_sd)[:, None]
        steps = np.arange(-3.0, 4.0)
        notes = log_note(steps, middle=self.note[:, [recipe]], sd=self.note_sd[:, None], lapse=self.note_lapse[:, None])
        return np.asarray(density + notes[:, (outcome.balance + 3).astype(int)])
