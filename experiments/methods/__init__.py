"""Methods to measure: `METHODS["rule_of_thumb"](pairing, seed)`."""

from __future__ import annotations

from experiments.methods import bask_mcmc, botorch_gp, engine, optuna_study, quadratic, rule_of_thumb, scikit, sobol
from experiments.methods.method import LEVELS, Absent, Belief, Earlier, Frank, Maker, Method

__all__ = ["LEVELS", "METHODS", "Absent", "Belief", "Earlier", "Frank", "Maker", "Method"]

METHODS: dict[str, Maker] = {
    "dialopt": engine.make,
    "dialopt_cold": engine.make_cold,
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
"""`dialopt_cold` differs from `dialopt` on bags with a history only. Of the last four, absent ones are skipped."""
