"""Methods to measure: `METHODS["rule_of_thumb"](pairing, seed)`."""

from __future__ import annotations

from experiments.methods import bask_mcmc, botorch_gp, engine, optuna_study, quadratic, rule_of_thumb, scikit, sobol
from experiments.methods.ablated import ABLATIONS, Ablation
from experiments.methods.method import LEVELS, Absent, Earlier, Frank, Maker, Method, Posterior

__all__ = [
    "ABLATED",
    "BASELINES",
    "ENGINE",
    "LEVELS",
    "METHODS",
    "PACKAGES",
    "PREFIX",
    "Ablation",
    "Absent",
    "Earlier",
    "Frank",
    "Maker",
    "Method",
    "Posterior",
]

ENGINE: dict[str, Maker] = {"dialopt": engine.make, "dialopt_cold": engine.make_cold}
"""The second is told nothing of earlier bags, and is the same as the first where there are none."""
BASELINES: dict[str, Maker] = {
    "rule_of_thumb": rule_of_thumb.make,
    "skopt_default": scikit.make,
    "skopt_eager": scikit.make_eager,
    "quadratic": quadratic.make,
    "sobol": sobol.make,
    "optuna_tpe": optuna_study.make_tpe,
    "optuna_gp": optuna_study.make_gp,
    "bask": bask_mcmc.make,
    "botorch": botorch_gp.make,
}
"""Of the last four, absent ones are skipped."""
PREFIX = "ablated_"
ABLATED: dict[str, Ablation] = {f"{PREFIX}{name}": ablation for name, ablation in ABLATIONS.items()}
METHODS: dict[str, Maker] = ENGINE | BASELINES | ABLATED

PACKAGES = {
    "skopt_default": "scikit-optimize",
    "skopt_eager": "scikit-optimize",
    "optuna_tpe": "optuna",
    "optuna_gp": "optuna",
    "bask": "bask",
    "botorch": "botorch",
}
"""Whose work a baseline is, by the names that packages are installed under."""
