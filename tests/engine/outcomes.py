"""What one pull may be noted as, written by hand."""

from __future__ import annotations

import numpy as np

from dialopt.model.outcome_model import OutcomeModel


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
