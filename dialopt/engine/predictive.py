"""What the words and pictures may ask of a posterior."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from dialopt.engine.advice import Comparison, Draws, PredictedOutcome, Predictions
from dialopt.engine.candidates import recipe_from_row
from dialopt.engine.checked import checked_level, checked_recipe, checked_recipes
from dialopt.engine.compare import compare
from dialopt.engine.interval import around_median, central
from dialopt.engine.region import Region
from dialopt.engine.scale import on_scale
from dialopt.model.likelihood import OUTLIER_SCORE, OUTLIER_TIME, OUTLIER_TIME_SHARE
from dialopt.model.observations import Floats, inputs
from dialopt.model.posterior import Posterior
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe

if TYPE_CHECKING:
    import pandas as pd

_REPEATS = 8
_CHUNK = 4096


class PosteriorPredictive:
    """Answers from the draws of a posterior, the same answer to the same question.

    best: draws of the best setting, rows of grind, dose_g, temp_c, ratio, (P, 4). outlier_share: of bad pucks.
    """

    def __init__(
        self, pairing: Pairing, posterior: Posterior, region: Region, best: Floats, *, outlier_share: float, seed: int
    ) -> None:
        self._pairing = pairing
        self._best = best
        self._posterior = posterior
        self._region = region
        self._outlier_share = outlier_share
        self._seed = seed

    def predict(self, recipes: Sequence[Recipe | tuple[float, float, float]] | pd.DataFrame) -> Predictions:
        """Liking and shot time at each recipe; liking is kept to the scale of 0 to 10."""
        checked = checked_recipes(recipes)
        starts = range(0, max(len(checked), 1), _CHUNK)
        parts = [self._predict(checked[start : start + _CHUNK]) for start in starts]
        mean, sd, low, high, time = np.concatenate(parts, axis=1)
        return Predictions(score_mean=mean, score_sd=sd, score_low=low, score_high=high, time_s=time)

    def _predict(self, recipes: Sequence[Recipe]) -> Floats:
        at = inputs(self._pairing, recipes)
        liking = on_scale(self._posterior.liking(at))
        log_time = np.median(self._posterior.median_log_time(at), axis=0)
        low, high = np.quantile(liking, [0.05, 0.95], axis=0)
        return np.stack([liking.mean(axis=0), liking.std(axis=0), low, high, np.exp(np.clip(log_time, 0.0, 12.0))])

    def predict_outcome(self, recipe: Recipe, level: float) -> PredictedOutcome:
        """Central intervals of a noted score and time, bad pucks among them."""
        recipe, level = checked_recipe("recipe", recipe), checked_level(level)
        rng = np.random.default_rng([self._seed, 1])
        at = inputs(self._pairing, [recipe])
        liking = np.tile(self._posterior.liking(at)[:, 0], _REPEATS)
        log_time = np.tile(self._posterior.median_log_time(at)[:, 0], _REPEATS)
        outlier = rng.random(len(liking)) < self._outlier_share
        shock = rng.standard_normal((4, len(liking)))
        score = liking + np.tile(self._posterior.score_sd, _REPEATS) * shock[0]
        score = score + outlier * (OUTLIER_SCORE[0] + OUTLIER_SCORE[1] * shock[1])
        time = log_time + np.tile(self._posterior.time_sd, _REPEATS) * shock[2]
        shows = outlier & (rng.random(len(liking)) < OUTLIER_TIME_SHARE)
        time = time + shows * (OUTLIER_TIME[0] + OUTLIER_TIME[1] * shock[3])
        seconds = np.exp(np.clip(time, 0.0, 7.0))
        return PredictedOutcome(
            score=central(on_scale(score), level),
            time_s=around_median(seconds, level),
        )

    def contains(self, recipe: Recipe, level: float) -> bool:
        """Whether the credible region of that level holds the recipe."""
        at = inputs(self._pairing, [checked_recipe("recipe", recipe)])
        return bool(self._region.contains(at.cube, checked_level(level))[0])

    def compare(self, one: Recipe, other: Recipe, level: float) -> Comparison:
        """Whether one recipe is liked more than another, and by how much."""
        one, other = (
            self._pairing.at_ratio(checked_recipe(name, recipe)) for name, recipe in (("one", one), ("other", other))
        )
        liking = self._posterior.liking(inputs(self._pairing, [one, other]))
        return compare(one, other, liking, checked_level(level))

    def draws(self, recipes: Sequence[Recipe]) -> Draws:
        """Liking and shot time at each recipe under every draw; liking is kept to the scale of 0 to 10."""
        at = inputs(self._pairing, checked_recipes(recipes))
        # Bounds for the sake of the float only: whoever draws a line through two of these clocks needs both as they
        # are, also where no such shot could be pulled.
        time_s = np.exp(np.clip(self._posterior.median_log_time(at), -50.0, 50.0))
        return Draws(liking=on_scale(self._posterior.liking(at)), time_s=time_s)

    def best(self) -> list[Recipe]:
        """Equally likely draws of the best setting, in the order of the draws of the posterior."""
        return [recipe_from_row(row) for row in self._best]
