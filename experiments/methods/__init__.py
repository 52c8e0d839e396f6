"""Methods to measure: `METHODS["rule_of_thumb"](pairing, seed)`."""

from __future__ import annotations

from experiments.methods.designs import quadratic, sobol
from experiments.methods.engine import ABLATIONS, Ablation, Engine, cold
from experiments.methods.libraries import bask, botorch, optuna_gp, optuna_tpe, skopt_default, skopt_eager
from experiments.methods.method import Absent, Earlier, Maker, Method
from experiments.methods.rule_of_thumb import RuleOfThumb, rule_of_thumb

__all__ = [
    "ABLATED",
    "BASELINES",
    "ENGINE",
    "METHODS",
    "PACKAGES",
    "PREFIX",
    "Absent",
    "Earlier",
    "Engine",
    "Method",
    "RuleOfThumb",
]

ENGINE: dict[str, Maker] = {"dialopt": Engine, "dialopt_cold": cold}
"""The second is not given earlier bags, and is the same as the first where there are none."""
BASELINES: dict[str, Maker] = {
    "rule_of_thumb": rule_of_thumb,
    "skopt_default": skopt_default,
    "skopt_eager": skopt_eager,
    "quadratic": quadratic,
    "sobol": sobol,
    "optuna_tpe": optuna_tpe,
    "optuna_gp": optuna_gp,
    "bask": bask,
    "botorch": botorch,
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
