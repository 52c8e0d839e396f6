"""What pulling a recipe next is worth: the knowledge gradient for online learning.

With μ(x) the expected liking of recipe x, μ* that of the best one, and KGₘ(x) the knowledge gradient, what μ* is
expected to gain by m shots at x, the next shot is the one of the greatest

    V(x) = maxₘ [m·(a·(μ(x) − μ* − switching(x)) − mishap(x)) + H·KGₘ(x)] / m,    m = 1 or a few,

a being 1 where every cup counts and next to nothing where only the final recipe does (`Config.spat_out`), H the cups
over which what a shot teaches counts (`next_shot.effective_horizon`), and the costs those of `costs`. For a = 1 that is
the liking of all cups still to be drunk, the test among them, less what staying with today's best recipe would give and
learning nothing (Ryzhov, Powell & Frazier 2012, Operations Research 60:180); for a = 0 it is the knowledge gradient as
it was first stated (Frazier, Powell & Dayanik 2009).
"""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from dialopt.engine.config import CONFIG, Config
from dialopt.model.observations import Floats
from dialopt.model.outcome_model import OutcomeModel


def acquisition_value(*, cup: Floats, gradient: Floats, horizon: float, times: int) -> Floats:
    """V of n recipes, points of liking a cup, (n,), for so many cups of each.

    cup: what one cup brings beside what it teaches, at most 0, (n,). gradient: KG of so many cups, (n,). horizon: H.
    """
    return np.asarray(cup + horizon * gradient / times)


def knowledge_gradient(
    outcome_model: OutcomeModel, cups: Floats, rng: np.random.Generator, config: Config = CONFIG
) -> Floats:
    """What the best posterior mean is expected to gain by one shot at each of n recipes, points, (n,).

    outcome_model: at the n recipes. cups: liking of the recipes that may be chosen later, (P, C).

        KG(x) = E[max_c E[f(c) | outcome of x]] − max_c E[f(c)]

    Each of J draws is taken as the truth in turn, an outcome is imagined under it, and the other draws are reweighed by
    its likelihood. The best of many noisy means looks better than it is, so the draws are cross-fitted: one half says
    which recipe would be chosen after that outcome, the other what it is worth, and the other way round; the draw taken
    as the truth has no vote in either. The gain is over staying with today's choice after the shot: on average that is
    worth what it is worth today, and the difference is far less noisy.
    """
    draws = len(cups)
    halves = np.array_split(rng.permutation(draws), 2)
    count = min(config.fantasies, draws)
    truth = rng.permutation(draws)[:count]
    uniforms = rng.permuted(np.tile((np.arange(count) + 0.5) / count, (3, 1)), axis=1)
    chosen = int(np.argmax(cups.mean(axis=0)))
    gradient = np.empty(outcome_model.liking.shape[1])
    for recipe in range(len(gradient)):
        log_weight = outcome_model.log_likelihood(recipe, outcome_model.fantasize(recipe, truth, uniforms))
        log_weight[truth, np.arange(count)] = -np.inf
        one, other = (_reweighed(log_weight[half], cups[half]) for half in halves)
        gains = [
            worth[np.arange(count), choice.argmax(axis=1)] - worth[:, chosen]
            for choice, worth in ((one, other), (other, one))
        ]
        gradient[recipe] = float(np.mean(gains))
    return gradient


def _reweighed(log_weight: Floats, cups: Floats) -> Floats:
    """Mean liking of C recipes after each of J outcomes, (J, C). log_weight: of P draws, (P, J). cups: (P, C)."""
    weight = np.exp(log_weight - log_weight.max(axis=0))
    return np.asarray((weight / weight.sum(axis=0)).T @ cups)


def expected_improvement(mean: Floats, sd: Floats, best: float) -> Floats:
    """Expected rise over `best` were it normal with that mean and deviation, (n,); for a first look.

    (mean − best)·Φ(z) + sd·φ(z), z = (mean − best)/sd (Jones, Schonlau & Welch 1998).
    """
    sd = np.maximum(sd, 1e-12)
    z = (mean - best) / sd
    return np.asarray((mean - best) * ndtr(z) + sd * np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi))
