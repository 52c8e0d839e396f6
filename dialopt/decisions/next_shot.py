"""The next shot: a short list of recipes, and the one that is worth most."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dialopt.decisions.candidates import Candidates, recipe_from_row
from dialopt.decisions.chokes import chokes
from dialopt.decisions.costs import bother, mishap
from dialopt.decisions.lesson import expected_improvement, expected_lesson, worth
from dialopt.model.belief import Belief
from dialopt.model.table import Bools, Floats
from dialopt.trade.pairing import USUAL_RATIO, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

_BY_DRAWS, _BY_HOPE, _BY_MEAN = 24, 8, 6
_CUPS = 200
FIRST_STEP, LATER_STEP = 0.25, 0.15
"""How far beyond what has been pulled a test may go, shares of the grind dial: after one grind, after several."""
ASTRAY_S = 15.0, 50.0
"""Shot times at `USUAL_RATIO` below or above which a grind is far too coarse or too fine (common practice)."""
WORST_TEST = 1.0
"""Points by which a test may be expected to fall short of the best cup within reach, where the trade's curve holds: a
cup known to be poor isn't worth pulling. The less that curve is trusted, the less is known of which cups are poor."""
EARLY, NEARLY = 3, 0.1
"""As long as fewer shots than that were tasted, tests whose worth is within that share of the best one's are equals:
many teach about as much, which of them is ahead is luck, and of equals the cup that is liked most is asked for."""


def best_shot(
    *,
    pairing: Pairing,
    shots: Sequence[Shot],
    belief: Belief,
    lattice: Candidates,
    liking: Floats,
    best_rows: np.ndarray,
    sweet: Recipe,
    later_cups: float,
    rng: np.random.Generator,
) -> tuple[Recipe, float]:
    """The recipe that is the best test, and what the one worth most away from the sweet spot is worth, points.

    liking: of the lattice, on the scale, (P, C). best_rows: where each draw is best, (P,). The short list holds recipes
    within reach, none of them known to be poor, that are best in many draws, that promise most, and that are liked
    most; what they may teach is looked at closely. Before anything ran it is the sweet spot itself, or the most liked
    recipe within reach of a puck that choked.
    """
    mean = liking.mean(axis=0)
    home = lattice.row(pairing, sweet)
    if not shots:
        return sweet, float("inf")
    near = within_reach(pairing, shots, lattice.raw[:, 0])
    if not any(shot.tasted or shot.timed for shot in shots):
        return (sweet if near[home] else lattice.recipe(int(np.argmax(np.where(near, mean, -np.inf))))), float("inf")
    clear = near & clear_of_chokes(pairing, shots, lattice.raw)
    near = clear if clear.any() else near
    near &= drinkable(mean, near, belief.leaning)
    spots, counts = np.unique(best_rows, return_counts=True)
    # Of equally frequent ones the most liked, not the one that a dial happens to list first.
    by_draws = spots[np.lexsort((-mean[spots], -counts))]
    by_mean = np.argsort(-mean, kind="stable")
    by_hope = np.argsort(-expected_improvement(mean, liking.std(axis=0), float(mean.max())), kind="stable")
    ranked = ((by_draws, _BY_DRAWS), (by_hope, _BY_HOPE), (by_mean, _BY_MEAN))
    rows = np.unique(np.concatenate([order[near[order]][:most] for order, most in ranked]))
    cups = np.unique([*by_draws[:_CUPS], *by_mean[: _CUPS // 2]])
    outlook = belief.outlook(lattice.at.rows(rows))
    asked = left_alone(pairing, shots[-1].recipe, lattice, rows)
    value = worth(
        lesson=expected_lesson(outlook, liking[:, cups], rng),
        liking=mean[rows],
        best=float(mean.max()),
        bother=bother(shots, asked),
        mishap=mishap(outlook),
        later_cups=later_cups,
    )
    tasted = sum(shot.tasted for shot in shots)
    chosen = best_of_equals(value.as_test, mean[rows]) if tasted < EARLY else int(np.argmax(value.as_test))
    away = rows != home
    test_value = float(np.max(value.total[away])) if away.any() else 0.0
    return (sweet if rows[chosen] == home else recipe_from_row(asked[chosen])), test_value


def best_of_equals(worth: Floats, liking: Floats) -> int:
    """Which of n tests is liked most of those whose worth is within a share `NEARLY` of the best one's.

    worth, liking: points, (n,).
    """
    return int(np.argmax(np.where(worth >= worth.max() - NEARLY * abs(worth.max()), liking, -np.inf)))


def left_alone(pairing: Pairing, last: Recipe, lattice: Candidates, rows: np.ndarray) -> Floats:
    """The recipes of those rows as they are asked for, rows of grind, dose_g, temp_c, (n, 3).

    A dial that stands nearer to the lattice's setting than to its other ones isn't moved: the lattice can't tell the
    two apart.
    """
    stands = pairing.snap(last)
    here = lattice.raw[lattice.row(pairing, stands)]
    raw = lattice.raw[rows]
    return np.where(raw == here, (stands.grind, stands.dose_g, stands.temp_c), raw)


def drinkable(mean: Floats, near: Bools, leaning: float) -> Bools:
    """Which recipes are expected to fall short of the best one in `near` by no more than a test may, (C,).

    mean: expected liking, (C,). leaning: the say, 0–1, of the surrogate that assumes nothing.
    """
    return np.asarray((mean[near].max() - mean) * (1.0 - leaning) <= WORST_TEST)


def within_reach(pairing: Pairing, shots: Sequence[Shot], grinds: Floats) -> Bools:
    """Which grinds lie no farther than a careful step beyond what has been pulled, (n,).

    One shot, possibly a bad one, is no ground to leap across the dial, and burrs may touch at its fine end. As long as
    all of them ran far too fast, or all far too slow, the next may go as far beyond them as after the first. The
    lattice setting nearest to the last pull is always within reach. Where nothing ran, what choked counts as pulled;
    without that, everything is within reach.
    """
    dial = pairing.grinder.grind
    ran = [shot for shot in shots if shot.tasted or shot.timed] or [shot for shot in shots if shot.fault == "choked"]
    if not ran:
        return np.ones(len(grinds), dtype=bool)
    pulled = np.array([dial.snap(shot.recipe.grind) for shot in ran])
    share = FIRST_STEP if len(np.unique(pulled)) == 1 or _astray(pairing, ran) else LATER_STEP
    step = max(share * (dial.high - dial.low), dial.step)
    near = (grinds >= pulled.min() - step - 1e-9) & (grinds <= pulled.max() + step + 1e-9)
    near[np.abs(grinds - pulled[-1]) <= np.abs(grinds - pulled[-1]).min()] = True
    return np.asarray(near)


def clear_of_chokes(pairing: Pairing, shots: Sequence[Shot], raw: Floats) -> Bools:
    """Which recipes keep clear of the pucks that choked, (n,). raw: rows of grind, dose_g, temp_c, (n, 3).

    With hardly less coffee none goes finer than half-way from the finest grind that ran to the one that choked.
    """
    turn = -1 if pairing.grinder.finer == "down" else 1
    clear = np.ones(len(raw), dtype=bool)
    for choke in chokes(pairing, shots):
        if choke.ran is not None:
            bound = turn * (choke.ran + choke.recipe.grind) / 2
            clear &= (turn * raw[:, 0] <= bound + 1e-9) | (raw[:, 1] < choke.bound_g)
    return clear


def _astray(pairing: Pairing, shots: Sequence[Shot]) -> bool:
    """Whether every shot that was timed ran far too fast, or every one far too slow."""
    times = [shot.time_s * USUAL_RATIO / pairing.ratio for shot in shots if shot.timed and shot.time_s is not None]
    return bool(times) and (max(times) < ASTRAY_S[0] or min(times) > ASTRAY_S[1])
