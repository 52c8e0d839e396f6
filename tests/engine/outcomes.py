"""What one pull may be noted as, written by hand; and a quick engine, where only its being of one mind is asked."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dialopt.engine.config import CONFIG
from dialopt.model.config import MODEL
from dialopt.model.outcome_model import OutcomeModel

FEW = replace(CONFIG, model=replace(MODEL, draws=128, earlier_draws=64))
"""An eighth of the draws."""


def outcome_model(
    liking: np.ndarray,
    score_sd: float = 1.0,
    note: np.ndarray | None = None,
    *,
    lapse: float = 1.0,
    log_time: np.ndarray | None = None,
    time_sd: float = 0.1,
) -> OutcomeModel:
    """Under draws by recipes. By default notes say nothing and every shot runs alike."""
    draws = len(liking)
    return OutcomeModel(
        liking=liking,
        median_log_time=np.zeros_like(liking) if log_time is None else log_time,
        note=np.zeros_like(liking) if note is None else note,
        score_sd=np.full(draws, score_sd),
        time_sd=np.full(draws, time_sd),
        note_sd=np.full(draws, 0.4),
        note_lapse=np.full(draws, lapse),
    )
