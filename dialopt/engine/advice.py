"""What the person is told: the values that a decision ends in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING, Protocol

from dialopt.engine.checked import checked_level
from dialopt.engine.reason import Reason
from dialopt.trade.estimate import Estimate as Estimate
from dialopt.trade.estimate import PredictedOutcome as PredictedOutcome
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Predictions:
    """For each of n recipes, arrays of shape (n,).

    score_mean, score_sd: the liking there, 0–10, without taster noise. score_low, score_high: its 90 % interval.
    time_s: the shot time's median, s.
    """

    score_mean: NDArray[np.float64]
    score_sd: NDArray[np.float64]
    score_low: NDArray[np.float64]
    score_high: NDArray[np.float64]
    time_s: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """P equally likely draws of what may be true of n recipes, arrays of shape (P, n).

    liking: of an average puck, 0–10. time_s: the shot time's median, s. A row is one draw throughout.
    """

    liking: NDArray[np.float64]
    time_s: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two recipes side by side.

    one, other: the recipes. chance_better: probability that an average puck of `one` is liked more than one of `other`,
    0–1; draws that like both the same count half. by: how many points more, below 0 less, with its interval.
    """

    one: Recipe
    other: Recipe
    chance_better: float
    by: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Palate:
    """What the log says of whoever scores.

    noise: standard deviation of the scores of one recipe tasted again and again, points, rounding included.
    offset: what a cup balanced by this palate is noted as on average, from −3 sour to +3 bitter; 0 is no offset.
    repeats: tastings of a recipe that had been tasted before, which is what tells most of the noise. notes: balance
    notes that count. repeat: the recipe of which a blind repeat would help; None when it wouldn't.
    """

    noise: Estimate
    offset: Estimate
    repeats: int
    notes: int
    repeat: Recipe | None


class Predictive(Protocol):
    """What the model knows of a pairing, as far as the words and pictures may ask."""

    def predict(self, recipes: Sequence[Recipe | tuple[float, float, float]] | pd.DataFrame) -> Predictions:
        """Liking and shot time at each recipe."""

    def predict_outcome(self, recipe: Recipe, level: float) -> PredictedOutcome:
        """The central interval of that level for the score and the time that one pull would be noted with."""

    def contains(self, recipe: Recipe, level: float) -> bool:
        """Whether the credible region of that level for where the best setting lies holds the recipe."""

    def compare(self, one: Recipe, other: Recipe, level: float) -> Comparison:
        """Whether one recipe is liked more than another, and by how much."""

    def best(self) -> Sequence[Recipe]:
        """Equally likely draws of the best setting."""

    def draws(self, recipes: Sequence[Recipe]) -> Draws:
        """The draws behind all this, in the order of `best`: joint for these recipes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SweetSpot:
    """The best guess now, and how sure it is.

    recipe: on the dials. score: liking there and its 90 % interval. edges: dials, by the recipe's field names, on whose
    end the best setting may well lie. prob_near_optimal: probability that the liking here is within half a point of the
    best there is. near_optimal_ridge: two recipes far apart that are surely enough as close to the best; None where
    there are none. modes: the likeliest recipe of every other place where the best setting may well lie instead.
    predictive: what `contains` and the questions that an `Advice` answers are asked of.
    """

    recipe: Recipe
    score: Estimate
    prob_near_optimal: float
    edges: tuple[str, ...]
    near_optimal_ridge: tuple[Recipe, Recipe] | None = None
    modes: tuple[Recipe, ...] = ()
    predictive: Predictive = field(compare=False)

    def contains(self, recipe: Recipe, level: float = 0.9) -> bool:
        """Whether the credible region of that level for where the best setting lies holds the recipe.

        The region comes from joint posterior draws of the best setting. It holds `self.recipe` at every level. level: a
        probability, 0–1. Raises BadValue.
        """
        level = checked_level(level)
        here = isinstance(recipe, Recipe) and replace(recipe, ratio=recipe.ratio or self.recipe.ratio) == self.recipe
        return here or self.predictive.contains(recipe, level)


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """Everything that one look at the shots tells.

    pairing: what was asked about. next_recipe: the most useful next shot, on the dials. settled: pulling more test
    shots no longer pays. why: what speaks for that recipe; `reason` says it. sweet_spot: the best guess now. expected:
    what the next shot is expected to be noted as, 90 % intervals. shots_left: whole shots that the bag still holds.
    finer_today: grind steps finer, below 0 coarser, by which the beans' ageing since the first dated shot has moved the
    clock; None while there is nothing to compare. palate: what the log says of whoever scores. gp_weight: share of the
    say that the surrogate which assumes nothing of the trade has, 0–1. seed, today, most_moves, hold: what was asked
    with; what counts stands in the pairing. version: of the dialopt that answered.
    """

    pairing: Pairing
    next_recipe: Recipe
    settled: bool
    why: Reason
    sweet_spot: SweetSpot
    expected: PredictedOutcome
    shots_left: int
    finer_today: Estimate | None = None
    palate: Palate | None = None
    gp_weight: float
    seed: int
    today: date | None = None
    most_moves: int = 1
    hold: tuple[tuple[str, float], ...] = ()
    version: str

    @property
    def reason(self) -> str:
        """Why, in one plain sentence for the person."""
        from dialopt.text.reason import reason_sentence  # sentences are made above the engine, and only when asked for

        return reason_sentence(self.why)

    def predict(self, recipes: Sequence[Recipe | tuple[float, float, float]] | pd.DataFrame) -> Predictions:
        """Liking, its standard deviation and the median shot time at each of n recipes, on the dials or off them.

        recipes: `Recipe`s, tuples of grind, dose_g, temp_c and maybe ratio, or a pandas frame with these columns.
        Raises BadValue.
        """
        return self.sweet_spot.predictive.predict(recipes)

    def predict_outcome(self, recipe: Recipe, level: float = 0.9) -> PredictedOutcome:
        """The interval of that level for the score and time that one pull of this recipe would be noted with.

        Spoiled pucks are among what may happen. level: a probability, 0–1. Raises BadValue.
        """
        return self.sweet_spot.predictive.predict_outcome(recipe, level)

    def compare(self, one: Recipe, other: Recipe, level: float = 0.9) -> Comparison:
        """Probability that `one` is liked more than `other`, and by how many points, with the interval of that level.

        From joint draws: what moves both recipes alike doesn't blur what sets them apart. Raises BadValue.
        """
        return self.sweet_spot.predictive.compare(one, other, level)
