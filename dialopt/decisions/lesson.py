"""What a shot is worth: what it teaches over the cups that the bag still holds, less what it costs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from dialopt.model.outlook import Outlook
from dialopt.model.table import Floats

IMAGINED = 64
"""Outcomes imagined for each recipe."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What pulling each of n recipes next is worth, points of liking, (n,).

    lesson: expected rise of the best cup's liking by what the shot teaches. forgone: liking lost by drinking this cup
    in place of the best. bother: what a move of the dials costs beside that. total: lesson over all later cups, less
    the costs.
    """

    lesson: Floats
    forgone: Floats
    bother: Floats
    total: Floats


def expected_lesson(outlook: Outlook, cups: Floats, rng: np.random.Generator) -> Floats:
    """Expected rise of the best posterior mean after one shot at each of n recipes, points, (n,).

    outlook: the n recipes. cups: liking of the recipes that may be chosen later, (P, C). Each of J draws is taken as
    the truth in turn, an outcome is imagined under it, and the other draws are reweighed by how well they foretold it:
    the knowledge gradient (Frazier, Powell & Dayanik 2009) by importance weights. The draw taken as the truth doesn't
    vote, else every lesson would look larger than it is.
    """
    draws = len(cups)
    count = min(IMAGINED, draws)
    truth = rng.permutation(draws)[:count]
    lanes = rng.permuted(np.tile((np.arange(count) + 0.5) / count, (3, 1)), axis=1)
    now = cups.mean(axis=0).max()
    lesson = np.empty(outlook.liking.shape[1])
    for recipe in range(len(lesson)):
        log_weight = outlook.log_likelihood(recipe, outlook.imagine(recipe, truth, lanes))
        log_weight[truth, np.arange(count)] = -np.inf
        weight = np.exp(log_weight - log_weight.max(axis=0))
        weight /= weight.sum(axis=0)
        lesson[recipe] = (weight.T @ cups).max(axis=1).mean() - now
    return lesson


def expected_improvement(mean: Floats, sd: Floats, best: float) -> Floats:
    """Expected rise over `best` if a normal belief of that mean and deviation came true, (n,); quick, for a first look.

    (mean − best)·Φ(z) + sd·φ(z), z = (mean − best)/sd (Jones, Schonlau & Welch 1998).
    """
    sd = np.maximum(sd, 1e-12)
    z = (mean - best) / sd
    return np.asarray((mean - best) * ndtr(z) + sd * np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi))


def worth(*, lesson: Floats, liking: Floats, best: float, bother: Floats, later_cups: float) -> Worth:
    """Adds up what each recipe teaches and costs. liking: expected liking of the n recipes, (n,)."""
    forgone = best - liking
    return Worth(lesson=lesson, forgone=forgone, bother=bother, total=later_cups * lesson - forgone - bother)
