"""dialopt itself, through its public call, whole and with one part taken away to measure what that part earns.

What is taken away is another configuration of the engine, or something of each shot that is hidden.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

import dialopt
from dialopt import Advice, Pairing, Recipe, Shot
from dialopt.engine.acquisition import expected_improvement
from dialopt.engine.config import CONFIG, Config
from dialopt.model.config import MODEL
from dialopt.model.outcome_model import OutcomeModel
from dialopt.model.priors import PRIORS
from experiments.methods.method import Earlier, Floats

_SURE, _SAYS_NOTHING = 1e-9, 1e6


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
            seen, earlier = [self.shown(shot) for shot in shots], list(self.earlier)
            advice = dialopt.advise(
                self.pairing, seen, earlier=earlier, seed=self.seed, counts="recipe", config=self.config
            )
            self._known = len(shots), advice
        return self._known[1]

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        return self.advice(shots).next_recipe

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The sweet spot."""
        return self.advice(shots).sweet_spot.recipe


def cold(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Engine:
    """dialopt without earlier bags."""
    return Engine(pairing, seed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ablation:
    """What is taken away.

    words: the part, as the page says it. config: the engine's without it. shown: what of a shot is left to see.
    families: the only ones on which it can make a difference, None for all.
    """

    words: str
    config: Config = CONFIG
    shown: Callable[[Shot], Shot] = lambda shot: shot
    families: tuple[str, ...] | None = None

    def __call__(self, pairing: Pairing, seed: int, earlier: Earlier = ()) -> Engine:
        """dialopt without the part, with earlier bags."""
        seen = [(other, [self.shown(shot) for shot in shots]) for other, shots in earlier]
        return Engine(pairing, seed, seen, self.config, self.shown)


def _model(**changes: Any) -> Config:
    return replace(CONFIG, model=replace(MODEL, **changes))


def _known(parameter: str, value: float) -> Config:
    """A parameter that is `value`, in the unit of its prior, and can't be learned."""
    prior = getattr(PRIORS, parameter)
    return _model(priors=PRIORS._replace(**{parameter: prior._replace(centre=value, spread=_SURE)}))


def _no_gradient(outcome_model: OutcomeModel, cups: Floats, rng: np.random.Generator, config: Config) -> Floats:
    return np.zeros(outcome_model.liking.shape[1])


def _improvement(outcome_model: OutcomeModel, cups: Floats, rng: np.random.Generator, config: Config) -> Floats:
    liking = outcome_model.liking
    return expected_improvement(liking.mean(axis=0), liking.std(axis=0), float(cups.mean(axis=0).max()))


def _best_of_one_draw(outcome_model: OutcomeModel, cups: Floats, rng: np.random.Generator, config: Config) -> Floats:
    """So much for the recipe that a draw at random likes most that no cost counts against it."""
    gradient = np.zeros(outcome_model.liking.shape[1])
    gradient[np.argmax(outcome_model.liking[rng.integers(len(cups))])] = _SAYS_NOTHING
    return gradient


_LOOK = "the look-ahead"
ABLATIONS: dict[str, Ablation] = {
    "no_notes": Ablation(words="balance notes", shown=lambda shot: replace(shot, balance=None)),
    "no_clock": Ablation(words="the shot time", shown=lambda shot: replace(shot, time_s=None)),
    "no_outliers": Ablation(words="pucks that went wrong unmarked", config=_model(outlier_share=_SURE)),
    "no_discrepancy": Ablation(words="the surface beside the mean function", config=_known("discrepancy_sd", _SURE)),
    "no_gp": Ablation(words="the surrogate that assumes nothing", config=_model(gp_share=0.0)),
    "no_trade": Ablation(words="the trade's curve, from the first tasting on", config=_model(gp_share=1.0)),
    "no_drift": Ablation(words="drift with the days", config=_known("time_drift", 0.0), families=("drift",)),
    "greedy": Ablation(words=f"{_LOOK} (always the sweet spot)", config=replace(CONFIG, gradient=_no_gradient)),
    "improvement": Ablation(words=f"{_LOOK} (expected improvement)", config=replace(CONFIG, gradient=_improvement)),
    "thompson": Ablation(
        words=f"{_LOOK} (the best of a random draw)", config=replace(CONFIG, gradient=_best_of_one_draw)
    ),
    "no_careful_step": Ablation(words="the careful step", config=replace(CONFIG, first_reach=1.0, later_reach=1.0)),
    "half_draws": Ablation(words="half of the draws", config=_model(draws=512)),
}
"""What is taken away, one part at a time."""
