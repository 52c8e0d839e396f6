"""What the model takes for granted, in one place."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.model.priors import PRIORS, Priors


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelConfig:
    """Priors and draws.

    outlier_share: of shots that the puck spoils without anybody marking it, 0–1 (common practice). gp_share: weight of
    the Gaussian process that assumes nothing of the trade before any score, from 0, without it, to 1, it alone. draws:
    of the posterior. earlier_draws: of each earlier pairing's.
    """

    priors: Priors = PRIORS
    outlier_share: float = 1 / 12
    gp_share: float = 0.2
    draws: int = 1024
    earlier_draws: int = 512


MODEL = ModelConfig()
