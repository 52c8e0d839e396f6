"""BoTorch: its default Gaussian process and noisy log expected improvement (optional)."""

from __future__ import annotations

import importlib
import warnings
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from dialopt import Pairing, Recipe, Shot
from experiments.methods.grid import FIRST_SHOTS, from_unit, opening, to_unit, unit_grid
from experiments.methods.method import Absent, Earlier, best_scoring


@dataclass(slots=True)
class Botorch:
    """The opening first; recommends the setting of the highest mean."""

    pairing: Pairing
    seed: int
    first: list[Recipe]
    _fitted: tuple[int, Any, Any] | None = field(init=False, default=None)

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        if len(shots) < FIRST_SHOTS:
            return self.first[len(shots)]
        torch = importlib.import_module("torch")
        logei = importlib.import_module("botorch.acquisition.logei")
        optim = importlib.import_module("botorch.optim")
        model, places = self._model(shots)
        torch.manual_seed(self.seed + len(shots))
        bounds = torch.tensor([[0.0] * places.shape[1], [1.0] * places.shape[1]], dtype=torch.double)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            better = logei.qLogNoisyExpectedImprovement(model, X_baseline=places, prune_baseline=True)
            found, _ = optim.optimize_acqf(better, bounds=bounds, q=1, num_restarts=8, raw_samples=128)
        return from_unit(self.pairing, found.detach().numpy()[0])

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The setting of the highest mean; before there is a model, the best-scoring recipe."""
        if len(shots) < FIRST_SHOTS:
            return best_scoring(self.pairing, shots)
        torch = importlib.import_module("torch")
        grid = unit_grid(self.pairing)
        with torch.no_grad():
            mean = self._model(shots)[0].posterior(torch.tensor(grid)).mean.numpy().ravel()
        return from_unit(self.pairing, grid[int(np.argmax(mean))])

    def _model(self, shots: Sequence[Shot]) -> tuple[Any, Any]:
        if self._fitted is None or self._fitted[0] != len(shots):
            torch = importlib.import_module("torch")
            models, fit = importlib.import_module("botorch.models"), importlib.import_module("botorch.fit")
            mlls = importlib.import_module("gpytorch.mlls")
            tasted = [shot for shot in shots if shot.score is not None]
            places = torch.tensor(np.array([to_unit(self.pairing, shot.recipe) for shot in tasted]))
            scores = torch.tensor([[shot.score] for shot in tasted], dtype=torch.double)
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                model = models.SingleTaskGP(places, scores)
                fit.fit_gpytorch_mll(mlls.ExactMarginalLogLikelihood(model.likelihood, model))
            self._fitted = (len(shots), model, places)
        return self._fitted[1], self._fitted[2]


def make(pairing: Pairing, seed: int, earlier: Earlier = ()) -> Botorch:
    """Its defaults after the usual opening. Raises Absent."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # deprecations within torch
            importlib.import_module("botorch")
    except ImportError:
        raise Absent("botorch isn't installed") from None
    return Botorch(pairing, seed, opening(pairing, seed))
