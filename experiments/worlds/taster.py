"""The taster: from a cup to the numbers that are written down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True, kw_only=True)
class Taster:
    """How a cup is noted.

    score_sd: on 0–10. gain: note steps a unit of lean; offset: steps that this palate is off; note_sd: in steps.
    notes: False for a taster who gives no balance notes. tail_df: degrees of freedom of Student-t score noise, None for
    normal. generous: points added to every score, so that good cups pile up at 10.
    """

    score_sd: float
    gain: float
    offset: float = 0.0
    note_sd: float = 0.6
    notes: bool = True
    tail_df: float | None = None
    generous: float = 0.0

    def score(self, liking: float, normal: float, chi2: float) -> float:
        """Liking plus noise, to the nearest half within 0–10. `chi2` is a chi-squared draw of `tail_df` freedoms."""
        heavy = 1.0 if self.tail_df is None else float(np.sqrt(self.tail_df / chi2))
        noted = liking + self.generous + self.score_sd * heavy * normal
        return float(np.clip(round(2 * noted) / 2, 0, 10))

    def balance(self, lean: float, normal: float) -> int | None:
        """The note: sour below 0, bitter above, whole steps within −3 … 3."""
        if not self.notes:
            return None
        noted = 3 * np.tanh(self.gain * lean / 3) + self.offset + self.note_sd * normal
        return int(np.clip(round(noted), -3, 3))


def draw_taster(rng: np.random.Generator) -> Taster:
    """A plain taster: score noise sd 0.35–0.8, a palate hardly off."""
    return Taster(score_sd=rng.uniform(0.35, 0.8), gain=rng.uniform(2.0, 4.0), offset=rng.normal(0, 0.15))
