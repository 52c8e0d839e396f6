"""dialopt with one part taken away, to measure what that part earns.

An ablation names attributes of dialopt's modules and what to put in their place while an advice is made, and may hide
something of each shot. A name that no longer exists is an error, so that no ablation can quietly become dialopt itself.
"""

from __future__ import annotations

import contextlib
import importlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from unittest import mock

import numpy as np
from numpy.typing import NDArray

from dialopt import Pairing, Recipe, Shot
from dialopt.engine.acquisition import expected_improvement
from dialopt.model.outcome_model import OutcomeModel
from dialopt.model.priors import _CENTRE, _SPREAD, NAMES
from experiments.methods.engine import Engine
from experiments.methods.method import Earlier, Posterior

Floats = NDArray[np.float64]

_GRADIENT = "dialopt.engine.next_shot.knowledge_gradient"
_SURE, _SAYS_NOTHING = 1e-9, 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Ablation:
    """What is taken away.

    words: the part, as the page says it. changes: new values by the full names of attributes. shown: what of a shot is
    left to see. families: the only ones on which it can make a difference, None for all.
    """

    words: str
    changes: Mapping[str, object] = field(default_factory=dict)
    shown: Callable[[Shot], Shot] = lambda shot: shot
    families: tuple[str, ...] | None = None

    @contextlib.contextmanager
    def applied(self) -> Iterator[None]:
        """dialopt without the part, put back afterwards."""
        for module in ("dialopt.engine.advise", "dialopt.model.gaussian_process"):
            importlib.import_module(module)  # else one that is loaded meanwhile would keep what it imports
        with contextlib.ExitStack() as changed:
            for name, value in self.changes.items():
                changed.enter_context(mock.patch(name, value))
            yield


@dataclass(frozen=True, slots=True, kw_only=True)
class Ablated:
    """dialopt, asked while the part is away."""

    engine: Engine
    ablation: Ablation

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        with self.ablation.applied():
            return self.engine.ask(self._shown(shots))

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The sweet spot."""
        with self.ablation.applied():
            return self.engine.recommend(self._shown(shots))

    def posterior(self, shots: Sequence[Shot], best: Recipe) -> Posterior:
        """What the advice says of itself."""
        with self.ablation.applied():
            return self.engine.posterior(self._shown(shots), best)

    def region_share(self, shots: Sequence[Shot], recipes: Sequence[Recipe]) -> float:
        """The share of these recipes within the 90 % region."""
        with self.ablation.applied():
            return self.engine.region_share(self._shown(shots), recipes)

    def _shown(self, shots: Sequence[Shot]) -> list[Shot]:
        return [self.ablation.shown(shot) for shot in shots]


@dataclass(frozen=True, slots=True)
class MakeAblated:
    """Makes dialopt without one part, told of earlier bags."""

    ablation: Ablation

    def __call__(self, pairing: Pairing, seed: int, earlier: Earlier = ()) -> Ablated:
        """A fresh one."""
        shown = [(other, [self.ablation.shown(shot) for shot in shots]) for other, shots in earlier]
        return Ablated(engine=Engine(pairing, seed, shown), ablation=self.ablation)


def _known(parameter: str, value: float) -> dict[str, object]:
    """A parameter that is `value`, in the scale of its prior, and can't be learned."""
    row = np.array(NAMES) == parameter
    return {
        "dialopt.model.priors._CENTRE": np.where(row, value, _CENTRE),
        "dialopt.model.priors._SPREAD": np.where(row, _SURE, _SPREAD),
    }


def _no_gradient(outcome_model: OutcomeModel, cups: Floats, rng: np.random.Generator) -> Floats:
    return np.zeros(outcome_model.liking.shape[1])


def _improvement(outcome_model: OutcomeModel, cups: Floats, rng: np.random.Generator) -> Floats:
    liking = outcome_model.liking
    return expected_improvement(liking.mean(axis=0), liking.std(axis=0), float(cups.mean(axis=0).max()))


def _best_of_one_draw(outcome_model: OutcomeModel, cups: Floats, rng: np.random.Generator) -> Floats:
    """So much for the recipe that a draw at random likes most that no cost counts against it."""
    gradient = np.zeros(outcome_model.liking.shape[1])
    gradient[np.argmax(outcome_model.liking[rng.integers(len(cups))])] = _SAYS_NOTHING
    return gradient


def _anywhere(pairing: Pairing, shots: Sequence[Shot], grinds: Floats) -> NDArray[np.bool_]:
    return np.ones(len(grinds), dtype=bool)


ABLATIONS: dict[str, Ablation] = {
    "no_notes": Ablation(words="balance notes", shown=lambda shot: replace(shot, balance=None)),
    "no_clock": Ablation(words="the shot time", shown=lambda shot: replace(shot, time_s=None)),
    "no_spoiled": Ablation(
        words="pucks that went wrong unmarked",
        changes={"dialopt.model.likelihood.OUTLIER_SHARE": _SURE, "dialopt.engine.predictive.OUTLIER_SHARE": _SURE},
    ),
    "no_residual": Ablation(
        words="the surface beside the trade's curve", changes=_known("discrepancy_sd", np.log(_SURE))
    ),
    "no_plain": Ablation(
        words="the surrogate that assumes nothing", changes={"dialopt.model.posterior.FEWEST_TASTINGS": np.inf}
    ),
    "no_trade": Ablation(
        words="the trade's curve, from the first tasting on",
        changes={"dialopt.model.posterior.FEWEST_TASTINGS": 1, "dialopt.model.posterior.GP_PRIOR_WEIGHT": 1 - 1e-15},
    ),
    "no_drift": Ablation(words="drift with the days", changes=_known("time_drift", 0.0), families=("drift",)),
    "greedy": Ablation(words="the look-ahead (always the sweet spot)", changes={_GRADIENT: _no_gradient}),
    "improvement": Ablation(words="the look-ahead (expected improvement)", changes={_GRADIENT: _improvement}),
    "thompson": Ablation(words="the look-ahead (the best of a random draw)", changes={_GRADIENT: _best_of_one_draw}),
    "no_careful_step": Ablation(words="the careful step", changes={"dialopt.engine.next_shot.trust_region": _anywhere}),
    "half_draws": Ablation(words="half of the draws", changes={"dialopt.model.posterior.DRAWS": 512}),
}
"""What is taken away, one part at a time."""
