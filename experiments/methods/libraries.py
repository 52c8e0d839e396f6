"""General-purpose optimisers over setting numbers: scikit-optimize and, where installed, Optuna, bask and BoTorch.

Each starts with the usual opening in place of random points of its own, except `skopt_default`.
"""

from __future__ import annotations

import contextlib
import importlib
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import skopt

from dialopt import Pairing, Recipe, Shot
from experiments.methods.method import (
    FIRST_SHOTS,
    Absent,
    Earlier,
    Floats,
    Optimiser,
    Surrogate,
    from_indices,
    from_unit,
    last_settings,
    opening,
    to_indices,
    to_unit,
    turnable,
)


@contextlib.contextmanager
def _unwarned() -> Iterator[None]:
    """They warn of deprecations, of experimental features, and at every fit whose noise meets its bound."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def _needed(package: str) -> Any:
    try:
        with _unwarned():
            return importlib.import_module(package)
    except ImportError:
        raise Absent(f"{package} isn't installed") from None


def _space(pairing: Pairing) -> list[Any]:
    return [skopt.space.Integer(0, dial.count - 1, name=name) for name, dial in turnable(pairing).items()]


@dataclass(slots=True)
class Scikit(Optimiser):
    """scikit-optimize. It is told each score negated, since it minimises."""

    optimizer: Any
    _told: int = field(init=False, default=0)

    def choose(self, shots: Sequence[Shot]) -> Recipe:
        """What its Optimizer asks for."""
        with _unwarned():
            for shot in shots[self._told :]:
                if shot.score is not None:
                    self.optimizer.tell(to_indices(self.pairing, shot.recipe), -shot.score)
            self._told = len(shots)
            return from_indices(self.pairing, self.optimizer.ask())


def skopt_default(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Scikit:
    """Every option at its default, which means ten random recipes first."""
    return Scikit(pairing, seed, [], skopt.Optimizer(_space(pairing), random_state=seed))


def skopt_eager(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Scikit:
    """Its defaults after the usual opening."""
    optimizer = skopt.Optimizer(_space(pairing), random_state=seed, n_initial_points=FIRST_SHOTS)
    return Scikit(pairing, seed, opening(pairing, seed), optimizer)


@dataclass(slots=True)
class Optuna(Optimiser):
    """Asks and tells a study of setting numbers, in which the opening stands in line."""

    study: Any
    space: dict[str, Any]
    _open: list[Any] = field(init=False, default_factory=list)
    _told: int = field(init=False, default=0)

    def choose(self, shots: Sequence[Shot]) -> Recipe:
        """What the study asks for."""
        with _unwarned():
            for shot in shots[self._told :]:
                self.study.tell(self._open.pop(0), shot.score or 0.0)
            self._told = len(shots)
            trial = self.study.ask(self.space)
        self._open.append(trial)
        return from_indices(self.pairing, [trial.params[name] for name in self.space])


def optuna_tpe(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Optuna:
    """Its default sampler, of tree-structured Parzen estimators. Raises Absent."""
    return _optuna(pairing, seed, "TPESampler")


def optuna_gp(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Optuna:
    """Its Gaussian process sampler, which needs torch. Raises Absent."""
    _needed("torch")
    return _optuna(pairing, seed, "GPSampler")


def _optuna(pairing: Pairing, seed: int, sampler: str) -> Optuna:
    optuna = _needed("optuna")
    optuna.logging.set_verbosity(optuna.logging.ERROR)
    with _unwarned():
        chosen = getattr(optuna.samplers, sampler)(seed=seed, n_startup_trials=FIRST_SHOTS)
        study = optuna.create_study(direction="maximize", sampler=chosen)
    for recipe in opening(pairing, seed):
        study.enqueue_trial(dict(zip(turnable(pairing), to_indices(pairing, recipe), strict=True)))
    settings = optuna.distributions.IntDistribution
    return Optuna(pairing, seed, [], study, {n: settings(0, dial.count - 1) for n, dial in turnable(pairing).items()})


@dataclass(slots=True)
class Bask(Surrogate):
    """bayes-skopt: scikit-optimize with kernel parameters sampled instead of fitted. Told negated scores, too."""

    optimizer: Any
    _told: int = field(init=False, default=0)

    def choose(self, shots: Sequence[Shot]) -> Recipe:
        """What its Optimizer asks for."""
        self._tell(shots)
        with _its_own_luck(self.seed + 1000 * len(shots)):
            return from_indices(self.pairing, self.optimizer.ask())

    def surface(self, shots: Sequence[Shot], grid: Floats) -> Floats:
        """The mean of its process."""
        self._tell(shots)
        settings = np.round(grid * np.array(last_settings(self.pairing))).astype(int)
        return -np.asarray(self.optimizer.gp.predict(self.optimizer.space.transform(settings.tolist())))

    def _tell(self, shots: Sequence[Shot]) -> None:
        for number, shot in enumerate(shots[self._told :], self._told):
            with _its_own_luck(self.seed + 1000 * number):
                self.optimizer.tell(to_indices(self.pairing, shot.recipe), -(shot.score or 0.0))
        self._told = len(shots)


@contextlib.contextmanager
def _its_own_luck(seed: int) -> Iterator[None]:
    """It draws from numpy's global generator in places: seeded here, and put back afterwards."""
    state = np.random.get_state()  # noqa: NPY002
    np.random.seed(seed % 2**32)  # noqa: NPY002
    try:
        with _unwarned():
            yield
    finally:
        np.random.set_state(state)  # noqa: NPY002


def bask(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Bask:
    """Its defaults after the usual opening. Raises Absent."""
    package = _needed("bask")
    with _its_own_luck(seed):
        optimizer = package.Optimizer(_space(pairing), n_initial_points=FIRST_SHOTS, random_state=seed)
    return Bask(pairing, seed, opening(pairing, seed), optimizer)


@dataclass(slots=True)
class Botorch(Surrogate):
    """BoTorch: its default Gaussian process and noisy log expected improvement."""

    _fitted: tuple[int, Any, Any] | None = field(init=False, default=None)

    def choose(self, shots: Sequence[Shot]) -> Recipe:
        """The place of the greatest expected improvement."""
        torch, logei, optim = (_needed(name) for name in ("torch", "botorch.acquisition.logei", "botorch.optim"))
        model, places = self._model(shots)
        torch.manual_seed(self.seed + len(shots))
        bounds = torch.tensor([[0.0] * places.shape[1], [1.0] * places.shape[1]], dtype=torch.double)
        with _unwarned():
            better = logei.qLogNoisyExpectedImprovement(model, X_baseline=places, prune_baseline=True)
            found, _ = optim.optimize_acqf(better, bounds=bounds, q=1, num_restarts=8, raw_samples=128)
        return from_unit(self.pairing, found.detach().numpy()[0])

    def surface(self, shots: Sequence[Shot], grid: Floats) -> Floats:
        """The mean of its process."""
        torch = _needed("torch")
        with torch.no_grad():
            return np.asarray(self._model(shots)[0].posterior(torch.tensor(grid)).mean.numpy().ravel())

    def _model(self, shots: Sequence[Shot]) -> tuple[Any, Any]:
        if self._fitted is None or self._fitted[0] != len(shots):
            torch, models, fit, mlls = (
                _needed(name) for name in ("torch", "botorch.models", "botorch.fit", "gpytorch.mlls")
            )
            tasted = [shot for shot in shots if shot.score is not None]
            places = torch.tensor(np.array([to_unit(self.pairing, shot.recipe) for shot in tasted]))
            scores = torch.tensor([[shot.score] for shot in tasted], dtype=torch.double)
            with _unwarned():
                model = models.SingleTaskGP(places, scores)
                fit.fit_gpytorch_mll(mlls.ExactMarginalLogLikelihood(model.likelihood, model))
            self._fitted = (len(shots), model, places)
        return self._fitted[1], self._fitted[2]


def botorch(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Botorch:
    """Its defaults after the usual opening. Raises Absent."""
    _needed("botorch")
    return Botorch(pairing, seed, opening(pairing, seed))
