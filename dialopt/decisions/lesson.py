"""What a shot is worth: what it teaches over the cups that the bag still holds, and what it costs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from dialopt.model.outlook import Outlook
from dialopt.model.table import Floats

IMAGINED = 64
"""Outcomes imagined for each recipe."""
COST_SAY = 0.05
"""Share of a worse cup and of moved dials that counts against a test while tests are chosen among.

A look ahead by one shot sees what that shot alone teaches. Temperature and dose show only over several, and at their
full price none of these would ever be pulled. The full price decides whether to go on testing at all.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What pulling each of n recipes next is worth, points of liking, (n,).

    total: what it teaches over all later cups, less what it costs: a worse cup than the best, moved dials, the risk of
    a mishap. as_test: the same, with `COST_SAY` of the worse cup and of the moved dials.
    """

    total: Floats
    as_test: Floats


def expected_lesson(outlook: Outlook, cups: Floats, rng: np.random.Generator) -> Floats:
    """What one shot at each of n recipes is expected to teach, points of a later cup's liking, (n,).

    outlook: the n recipes. cups: liking of the recipes that may be chosen later, (P, C). The lesson is what the best
    posterior mean gains by the shot: the knowledge gradient (Frazier, Powell & Dayanik 2009). The gain is over staying
    with today's choice after the shot: on average that is worth what it is worth today, and the difference is far less
    noisy.

    Each of J draws is taken as the truth in turn, an outcome is imagined under it, and the other draws are reweighed by
    how well they foretold it. The draw taken as the truth doesn't vote, else every lesson would look larger than it is.
    """
    draws = len(cups)
    count = min(IMAGINED, draws)
    truth = rng.permutation(draws)[:count]
    lanes = rng.permuted(np.tile((np.arange(count) + 0.5) / count, (3, 1)), axis=1)
    chosen = int(np.argmax(cups.mean(axis=0)))
    lesson = np.empty(outlook.liking.shape[1])
    for recipe in range(len(lesson)):
        log_weight = outlook.log_likelihood(recipe, outlook.imagine(recipe, truth, lanes))
        log_weight[truth, np.arange(count)] = -np.inf
        weight = np.exp(log_weight - log_weight.max(axis=0))
        weight = (weight / weight.sum(axis=0)).T
        mean = weight @ cups
        lesson[recipe] = float(np.mean(mean.max(axis=1) - mean[:, chosen]))
    return lesson


def expected_improvement(mean: Floats, sd: Floats, best: float) -> Floats:
    """Expected rise over `best` if a normal belief of that mean and deviation came true, (n,); quick, for a first look.

    (mean − best)·Φ(z) + sd·φ(z), z = (mean − best)/sd (Jones, Schonlau & Welch 1998).
    """
    sd = np.maximum(sd, 1e-12)
    z = (mean - best) / sd
    return np.asarray((mean - best) * ndtr(z) + sd * np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi))


def worth(*, lesson: Floats, liking: Floats, best: float, bother: Floats, mishap: Floats, later_cups: float) -> Worth:
    """Adds up what each recipe teaches and costs. liking: expected liking of the n recipes, (n,)."""
    taught, cost = later_cups * lesson - mishap, best - liking + bother
    return Worth(total=taught - cost, as_test=taught - COST_SAY * cost)
