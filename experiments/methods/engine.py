"""dialopt itself, through its public call."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import dialopt
from dialopt import Advice, Pairing, Recipe, Shot
from dialopt.engine.config import CONFIG, Config
from experiments.methods.method import LEVELS, Earlier, Posterior


@dataclass(slots=True)
class Engine:
    """One call of `dialopt.advise` for each number of shots, where only the final recipe counts.

    shown: what of a shot dialopt is left to see.
    """

    pairing: Pairing
    seed: int
    earlier: Earlier = ()
    config: Config = CONFIG
    shown: Callable[[Shot], Shot] = lambda shot: shot
    _known: tuple[int, Advice] | None = field(init=False, default=None)

    def advice(self, shots: Sequence[Shot]) -> Advice:
        """What dialopt advises after these shots."""
        if self._known is None or self._known[0] != len(shots):
            self._known = (
                len(shots),
                dialopt.advise(
                    self.pairing,
                    [self.shown(shot) for shot in shots],
                    earlier=list(self.earlier),
                    seed=self.seed,
                    counts="recipe",
                    config=self.config,
                ),
            )
        return self._known[1]

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        return self.advice(shots).next_recipe

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The sweet spot."""
        return self.advice(shots).sweet_spot.recipe

    def posterior(self, shots: Sequence[Shot], best: Recipe) -> Posterior:
        """What the advice says of itself."""
        advice = self.advice(shots)
        ranges = [advice.predict_outcome(advice.next_recipe, level).score for level in LEVELS]
        return Posterior(
            holds=tuple(bool(advice.sweet_spot.contains(best, level)) for level in LEVELS),
            score=tuple((predicted.low, predicted.high) for predicted in ranges),
            prob_near_optimal=advice.sweet_spot.prob_near_optimal,
            settled=advice.settled,
            gp_weight=advice.gp_weight,
        )

    def region_share(self, shots: Sequence[Shot], recipes: Sequence[Recipe]) -> float:
        """The share of these recipes within the 90 % region."""
        spot = self.advice(shots).sweet_spot
        return sum(spot.contains(recipe, 0.9) for recipe in recipes) / len(recipes)


def make(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Engine:
    """dialopt, told of earlier bags."""
    return Engine(pairing, seed, earlier)


def make_cold(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Engine:
    """dialopt, told nothing of earlier bags."""
    return Engine(pairing, seed)
