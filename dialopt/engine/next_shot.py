"""The next shot: what may be asked for, a short list of it, and the recipe that is worth most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from dialopt.engine.acceptable import clear_of_chokes, few_moves, left_alone, moved_dials, trust_region
from dialopt.engine.acquisition import acquisition_value, expected_improvement, knowledge_gradient
from dialopt.engine.candidates import Candidates, recipe_from_row
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
LEARNED_ANYWAY = 4.0
"""Tastings at which half of what a test teaches would soon be learned from the cups that are drunk anyway."""
REPEATS = 4
"""Cups looked ahead, half of those left at most, when it is asked whether testing still pays: what one noisy cup alone
can't teach, several may (the paradox of a single look, Frazier & Powell 2010)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NextShot:
    """The best next shot. worth: what `REPEATS` cups of it, or of the sweet spot, would teach over all cups that count,
    less what they give away themselves, points.
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
    drunk: bool,
    most_moves: int,
    rng: np.random.Generator,
) -> NextShot:
    """The recipe of the greatest acquisition value among those that a barista would pull from here.

    liking: of the lattice, on the scale, (P, C). best_rows: where each draw is best, (P,). cups_served: by a lesson.
    drunk: whether the test's own cup counts. Before anything ran it is the sweet spot itself, or the most liked recipe
    within reach of a puck that choked.
    """
    mean = liking.mean(axis=0)
    home = lattice.row(pairing, sweet)
    if not shots:
        return NextShot(recipe=sweet, worth=float("inf"))
    near = trust_region(pairing, shots, lattice.raw[:, 0])
    if not any(shot.tasted or shot.timed for shot in shots):
        likely = sweet if near[home] else lattice.recipe(int(np.argmax(np.where(near, mean, -np.inf))))
        return NextShot(recipe=likely, worth=float("inf"))
    clear = near & clear_of_chokes(pairing, shots, lattice.raw)
    near = few_moves(pairing, shots[-1].recipe, posterior, lattice, clear if clear.any() else near, sweet, most_moves)
    rows = _short_list(liking, mean, near)
    if near[home]:
        rows = np.union1d(rows, [home])
    spots, counts = np.unique(best_rows, return_counts=True)
    # Of equally frequent ones the most liked, not the one that a dial happens to list first.
    by_draws = spots[np.lexsort((-mean[spots], -counts))]
    cups = np.unique([*by_draws[:_CUPS], *np.argsort(-mean, kind="stable")[: _CUPS // 2]])
    outcomes = as_noted(posterior.outcome_model(lattice.at.rows(rows)), shots)
    asked = left_alone(pairing, shots[-1].recipe, lattice, rows)
    value = acquisition_value(
        liking=mean[rows],
        best=float(mean.max()),
        gradient=knowledge_gradient(outcomes, liking[:, cups], rng),
        cost=switching(shots, asked) + mishap(outcomes),
        horizon=lesson_share(sum(shot.tasted for shot in shots), drunk=drunk) * cups_served,
        drunk=drunk,
    )
    chosen = int(np.argmax(value))
    recipe = recipe_from_row(asked[chosen])
    # Between the lattice's settings, where that turns no dial more.
    if rows[chosen] == home and len(moved_dials(pairing, shots[-1].recipe, sweet)) <= most_moves:
        recipe = sweet
    again = np.unique([chosen, *np.flatnonzero(rows == home)])
    times = min(REPEATS, max(int(cups_served / 2), 1))
    repeated = posterior.outcome_model(lattice.at.rows(rows[again])).repeated(times)
    worth = acquisition_value(
        liking=times * mean[rows[again]],
        best=times * float(mean.max()),
        gradient=knowledge_gradient(as_noted(repeated, shots), liking[:, cups], rng),
        cost=np.zeros(len(again)),
        horizon=cups_served - times,
        drunk=drunk,
    )
    return NextShot(recipe=recipe, worth=float(np.max(worth)))


def lesson_share(tastings: int, *, drunk: bool) -> float:
    """Share of the cups that a lesson serves for which it counts, 0–1.

    The look ahead takes what it learns for all that will ever be learned. Where every cup is drunk, the cups to come
    teach, too, and after few tastings nearly as much as a test: it counts for n/(n + `LEARNED_ANYWAY`) after n of them.
    """
    return tastings / (tastings + LEARNED_ANYWAY) if drunk else 1.0


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
