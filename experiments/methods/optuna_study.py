"""Optuna, with its tree-structured Parzen sampler and with its Gaussian process (optional)."""

from __future__ import annotations

import importlib
import warnings
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from dialopt import Pairing, Recipe, Shot
from experiments.methods.grid import FIRST_SHOTS, from_indices, opening, to_indices, turnable
from experiments.methods.method import Absent, Earlier, best_scoring


@dataclass(slots=True)
class Optuna:
    """Asks and tells a study of setting numbers; recommends what scored best."""

    pairing: Pairing
    study: Any
    space: dict[str, Any]
    _open: list[Any] = field(init=False, default_factory=list)
    _told: int = field(init=False, default=0)

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # experimental-feature notices
            for shot in shots[self._told :]:
                self.study.tell(self._open.pop(0), shot.score or 0.0)
            self._told = len(shots)
            trial = self.study.ask(self.space)
        self._open.append(trial)
        return from_indices(self.pairing, [trial.params[name] for name in self.space])

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The best-scoring recipe so far."""
        return best_scoring(self.pairing, shots)


def make_tpe(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Optuna:
    """The default sampler, after the usual opening in place of ten random recipes. Raises Absent."""
    return _make(pairing, "TPESampler", seed)


def make_gp(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Optuna:
    """The Gaussian process sampler, which needs torch, after the usual opening. Raises Absent."""
    try:
        importlib.import_module("torch")
    except ImportError:
        raise Absent("its Gaussian process needs torch, which isn't installed") from None
    return _make(pairing, "GPSampler", seed)


def _make(pairing: Pairing, sampler: str, seed: int) -> Optuna:
    try:
        optuna = importlib.import_module("optuna")
    except ImportError:
        raise Absent("optuna isn't installed") from None
    optuna.logging.set_verbosity(optuna.logging.ERROR)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        chosen = getattr(optuna.samplers, sampler)(seed=seed, n_startup_trials=FIRST_SHOTS)
        study = optuna.create_study(direction="maximize", sampler=chosen)
    names = list(turnable(pairing))
    for recipe in opening(pairing, seed):
        study.enqueue_trial(dict(zip(names, to_indices(pairing, recipe), strict=True)))
    int_dial = optuna.distributions.IntDistribution
    return Optuna(pairing, study, {name: int_dial(0, dial.count - 1) for name, dial in turnable(pairing).items()})
