"""The acceptable set: the recipes that a barista would move to from the last shot.

    acceptable = trust region ∩ clear of chokes ∩ promising ∩ few moves

All of it is common practice: no leap across the dial, nothing as fine as what choked, no cup that can't be good, one
dial at a time.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dialopt.engine.candidates import Candidates
from dialopt.engine.chokes import chokes
from dialopt.engine.config import CONFIG, Config
from dialopt.model.observations import Bools, Floats, inputs
from dialopt.model.posterior import Posterior
from dialopt.trade.likely_time import TIME_RATIO, time_stretch, usual_time
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


def acceptable(
    pairing: Pairing,
    shots: Sequence[Shot],
    posterior: Posterior,
    lattice: Candidates,
    liking: Floats,
    sweet: Recipe,
    most_moves: int,
    config: Config,
) -> Bools:
    """Which recipes of the lattice may be asked for next, (C,); never none. shots: at least one that ran or choked.

    liking: of the lattice, (P, C).
    """
    near = trust_region(pairing, shots, lattice.raw[:, 0], config)
    for also in (
        clear_of_chokes(pairing, shots, lattice.raw),
        promising(posterior, lattice, liking, lattice.row(pairing, sweet), config),
    ):
        near = near & also if (near & also).any() else near
    last = shots[-1].recipe
    alone = most_moves == 1 and not shot_time_is_right(pairing, last, posterior, sweet, config)
    return few_moves(pairing, last, lattice, near, most_moves, grind_alone=alone)


def promising(posterior: Posterior, lattice: Candidates, liking: Floats, sweet: int, config: Config) -> Bools:
    """Which recipes may well run in a time that anybody would drink, and be as good as the sweet spot, (C,).

    liking: of the lattice, (P, C). sweet: its row of the sweet spot.
    """
    some = slice(None, None, max(1, len(liking) // config.glance))
    log_time = np.median(posterior.median_log_time(lattice.at)[some], axis=0)
    log_time -= TIME_RATIO * lattice.at.ratio
    fast, slow = np.log(config.astray_s)
    drinkable = (log_time >= fast) & (log_time <= slow)
    hope = np.mean(liking[some] >= liking[some, sweet][:, None], axis=0)
    return np.asarray(drinkable & (hope >= config.least_hope))


def moved_dials(pairing: Pairing, start: Recipe, end: Recipe) -> list[str]:
    """The dials, by the recipe's field names, to turn to come from one recipe to another on the dials."""
    stands = pairing.snap(start)
    return [name for name in pairing.dials if abs(getattr(end, name) - getattr(stands, name)) > 1e-9]


def few_moves(
    pairing: Pairing, last: Recipe, lattice: Candidates, near: Bools, most_moves: int, *, grind_alone: bool
) -> Bools:
    """Which of the recipes in `near` turn no more dials than `most_moves` from where they stand, (C,).

    grind_alone: it is the grind's move, as the shot time isn't right yet. Where the grind has nowhere to go, any dial
    will do; something is always left.
    """
    moved = np.abs(lattice.raw - lattice.raw[lattice.row(pairing, pairing.snap(last))]) > 1e-9
    count = moved.sum(axis=1)
    some = near & (count <= most_moves)
    if grind_alone:
        by_grind = some & ~moved[:, 1:].any(axis=1)
        if (by_grind & (count > 0)).any():
            return np.asarray(by_grind)
    # Where what is within reach lies farther away in every dial than one move, the nearest of it.
    return np.asarray(some if some.any() else near & (count == count[near].min()))


def shot_time_is_right(
    pairing: Pairing, recipe: Recipe, posterior: Posterior, sweet: Recipe, config: Config = CONFIG
) -> bool:
    """Whether a recipe probably runs neither fast nor slow, or about as long as the sweet spot.

    By the posterior median of its shot time, which one channelled puck can't upset.
    """
    here, best = np.exp(np.median(posterior.median_log_time(inputs(pairing, [recipe, sweet])), axis=0))
    usual = usual_time(here, pairing.ratio_of(recipe)) == "usual"
    return bool(usual or best / config.near_sweet_time <= here <= best * config.near_sweet_time)


def left_alone(pairing: Pairing, last: Recipe, lattice: Candidates, rows: np.ndarray) -> Floats:
    """The recipes of those rows as they are asked for, rows of grind, dose_g, temp_c, ratio, (n, 4).

    A dial that stands nearer to the lattice's setting than to its other ones isn't moved: the lattice can't tell the
    two apart.
    """
    stands = pairing.snap(last)
    here = lattice.raw[lattice.row(pairing, stands)]
    raw = lattice.raw[rows]
    return np.where(raw == here, [getattr(stands, name) for name in pairing.dials], raw)


def trust_region(pairing: Pairing, shots: Sequence[Shot], grinds: Floats, config: Config = CONFIG) -> Bools:
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
    share = config.first_reach if len(np.unique(pulled)) == 1 or _astray(pairing, ran, config) else config.later_reach
    step = max(share * (dial.high - dial.low), dial.step)
    near = (grinds >= pulled.min() - step - 1e-9) & (grinds <= pulled.max() + step + 1e-9)
    near[np.abs(grinds - pulled[-1]) <= np.abs(grinds - pulled[-1]).min()] = True
    return np.asarray(near)


def clear_of_chokes(pairing: Pairing, shots: Sequence[Shot], raw: Floats) -> Bools:
    """Which recipes keep clear of the pucks that choked, (n,). raw: rows of grind, dose_g, temp_c, ratio, (n, 4).

    With hardly less coffee none goes finer than half-way from the finest grind that ran to the one that choked; where
    that one ran fast, none goes as coarse as it either.
    """
    turn = -1 if pairing.grinder.finer == "down" else 1
    clear = np.ones(len(raw), dtype=bool)
    for choke in chokes(pairing, shots):
        if choke.ran is not None:
            bound = turn * (choke.ran + choke.recipe.grind) / 2
            between = turn * raw[:, 0] <= bound + 1e-9
            if choke.ran_fast:
                between &= turn * raw[:, 0] > turn * choke.ran + 1e-9
            clear &= between | (raw[:, 1] < choke.bound_g)
    return clear


def _astray(pairing: Pairing, shots: Sequence[Shot], config: Config) -> bool:
    """Whether every shot that was timed ran far too fast, or every one far too slow."""
    times = [
        shot.time_s / time_stretch(pairing.ratio_of(shot.recipe))
        for shot in shots
        if shot.timed and shot.time_s is not None
    ]
    return bool(times) and (max(times) < config.astray_s[0] or min(times) > config.astray_s[1])
