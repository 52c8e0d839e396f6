"""The next shot: what may be asked for, a short list of it, and the recipe that is worth most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from dialopt.engine.acceptable import acceptable, left_alone, moved_dials, trust_region
from dialopt.engine.acquisition import acquisition_value, expected_improvement, knowledge_gradient
from dialopt.engine.candidates import Candidates, recipe_from_row
from dialopt.engine.config import Config
from dialopt.engine.costs import mishap, switching
from dialopt.model.observations import Bools, Floats
from dialopt.model.outcome_model import OutcomeModel
from dialopt.model.posterior import Posterior
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

_BY_DRAWS, _BY_HOPE, _BY_MEAN = 24, 8, 6
_CUPS = 200
_SAYS_NOTHING = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class NextShot:
    """The best next shot. worth: what the test that teaches most for its price would bring over all cups that count,
    points.
    """

    recipe: Recipe
    worth: float


def best_shot(
    *,
    pairing: Pairing,
    shots: Sequence[Shot],
    posterior: Posterior,
    lattice: Candidates,
    liking: Floats,
    best_rows: np.ndarray,
    sweet: Recipe,
    cups_served: float,
    tastings: int,
    most_moves: int,
    hold: Mapping[str, float],
    rested: bool,
    rng: np.random.Generator,
    config: Config,
) -> NextShot:
    """The recipe of the greatest acquisition value in the acceptable set.

    liking: of the lattice, on the scale, (P, C). best_rows: where each draw is best, (P,). cups_served: by what a shot
    teaches. tastings: cups scored or judged so far. hold: dials that aren't to be moved, with their settings. rested:
    whether the beans have aged since the last shot; then it is the sweet spot. Before anything ran it is the sweet
    spot, too, or the most liked recipe within reach of a puck that choked.

    A single noisy cup may teach nothing where several of the same recipe would: every recipe is valued by the better of
    one cup and `cups_ahead` of it, a cup (the correlated KG(*) policy: Frazier & Powell 2010, Decision Analysis 7:378).
    """
    mean = liking.mean(axis=0)
    best, home = float(mean.max()), lattice.row(pairing, sweet)
    if not shots:
        return NextShot(recipe=sweet, worth=float("inf"))
    if not any(shot.tasted or shot.timed for shot in shots):
        near = trust_region(pairing, shots, lattice.raw[:, 0], config)
        likely = sweet if near[home] else lattice.recipe(int(np.argmax(np.where(near, mean, -np.inf))))
        return NextShot(recipe=likely, worth=float("inf"))
    may = acceptable(pairing, shots, posterior, lattice, liking, sweet, most_moves, config)
    rows = _short_list(liking, mean, may)
    if may[home]:
        rows = np.union1d(rows, [home])
    asked = left_alone(pairing, shots[-1].recipe, lattice, rows)
    outcomes = as_noted(posterior.outcome_model(lattice.at.rows(rows)), shots)
    cups = liking[:, _worth_drinking(mean, best_rows)]
    drunk = pairing.counts == "cups"
    share = 1.0 if drunk else config.spat_out
    short = mean[rows] - best
    cup = share * (short - switching(shots, asked, config)) - mishap(outcomes, config)
    gradient_of = config.gradient or knowledge_gradient
    values, worth = [], -np.inf
    for times in sorted({1, min(config.cups_ahead, max(int(cups_served / 2), 1))}):
        gradient = gradient_of(outcomes.repeated(times), cups, rng, config)
        after = cups_served - times
        horizon = effective_horizon(after + 1.0, tastings, config) if drunk else cups_served
        values.append(acquisition_value(cup=cup, gradient=gradient, horizon=horizon, times=times))
        worth = max(worth, float((times * share * short + after * gradient).max()))
    chosen = int(np.argmax(np.max(values, axis=0)))
    if rested:
        return NextShot(recipe=sweet, worth=worth)
    recipe = replace(recipe_from_row(asked[chosen]), **hold)
    # Between the lattice's settings, where that turns no dial more.
    if rows[chosen] == home and len(moved_dials(pairing, shots[-1].recipe, sweet)) <= most_moves:
        recipe = sweet
    return NextShot(recipe=recipe, worth=worth)


def effective_horizon(cups: float, tastings: int, config: Config) -> float:
    """Cups over which what a shot teaches counts, of those that it serves.

    1/(1/cups + 1/(s·tastings)), s being `superseded`.

    The look ahead takes what it learns for all that will ever be learned. Where every cup is drunk, the cups to come
    teach, too, and after few tastings soon as much as a test would: what n tastings taught takes about as many again
    to be known as well without it.
    """
    known_anyway = config.superseded * tastings
    return cups * known_anyway / (cups + known_anyway) if tastings else 0.0


def _worth_drinking(mean: Floats, best_rows: np.ndarray) -> np.ndarray:
    """Rows of the recipes that may be the choice after a shot: those best in most draws, and those liked most."""
    spots, counts = np.unique(best_rows, return_counts=True)
    # Of equally frequent ones the most liked, not the one that a dial happens to list first.
    by_draws = spots[np.lexsort((-mean[spots], -counts))]
    return np.unique([*by_draws[:_CUPS], *np.argsort(-mean, kind="stable")[: _CUPS // 2]])


def _short_list(liking: Floats, mean: Floats, near: Bools) -> np.ndarray:
    """Rows of those near that are best in many draws, that promise most, and that are liked most."""
    rows = np.flatnonzero(near)
    best, counts = np.unique(rows[np.argmax(liking[:, rows], axis=1)], return_counts=True)
    by_draws = best[np.lexsort((-mean[best], -counts))]
    hope = expected_improvement(mean[rows], liking[:, rows].std(axis=0), float(mean.max()))
    by_hope = rows[np.argsort(-hope, kind="stable")]
    by_mean = rows[np.argsort(-mean[rows], kind="stable")]
    return np.unique(np.concatenate([by_draws[:_BY_DRAWS], by_hope[:_BY_HOPE], by_mean[:_BY_MEAN]]))


def as_noted(outcomes: OutcomeModel, shots: Sequence[Shot]) -> OutcomeModel:
    """The outcomes without what this person never notes: a note or a time that won't be taken teaches nothing."""
    if not any(shot.balance is not None for shot in shots):
        outcomes = replace(outcomes, note_lapse=np.ones_like(outcomes.note_lapse))
    if not any(shot.time_s is not None for shot in shots):
        outcomes = replace(outcomes, time_sd=np.full_like(outcomes.time_sd, _SAYS_NOTHING))
    return outcomes
