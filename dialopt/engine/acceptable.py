"""What a barista would turn for the next shot: the recipes that a test may move to from the last one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dialopt.engine.candidates import Candidates
from dialopt.engine.chokes import chokes
from dialopt.model.observations import Bools, Floats, inputs
from dialopt.model.posterior import Posterior
from dialopt.trade.likely_time import FAST_S, SLOW_S
from dialopt.trade.pairing import USUAL_RATIO, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

FIRST_STEP, LATER_STEP = 0.25, 0.15
"""How far beyond what has been pulled a test may go, shares of the grind dial: after one grind, after several."""
ASTRAY_S = 15.0, 50.0
"""Shot times at `USUAL_RATIO` below or above which a grind is far too coarse or too fine (common practice)."""
NEAR_SWEET_TIME = 1.15
"""Shot time over that of the sweet spot, or the other way round, up to which the clock is right whatever is usual."""


def moved_dials(pairing: Pairing, start: Recipe, end: Recipe) -> list[str]:
    """The dials, by the recipe's field names, to turn to come from one recipe to another on the dials."""
    stands = pairing.snap(start)
    return [name for name in pairing.dials if abs(getattr(end, name) - getattr(stands, name)) > 1e-9]


def few_moves(
    pairing: Pairing,
    last: Recipe,
    posterior: Posterior,
    lattice: Candidates,
    near: Bools,
    sweet: Recipe,
    most_moves: int,
) -> Bools:
    """Which of the recipes in `near` turn no more dials than `most_moves` from where they stand, (C,).

    With one move a shot it is the grind's until the clock is right, and any one dial's from then on, as baristas are
    taught (common practice). Where the grind has nowhere to go, any one dial will do; something is always left.
    """
    moved = np.abs(lattice.raw - lattice.raw[lattice.row(pairing, pairing.snap(last))]) > 1e-9
    count = moved.sum(axis=1)
    some = near & (count <= most_moves)
    if most_moves == 1 and not shot_time_is_right(pairing, last, posterior, sweet):
        by_grind = some & ~moved[:, 1:].any(axis=1)
        if (by_grind & (count > 0)).any():
            return np.asarray(by_grind)
    # Where what is within reach lies farther away in every dial than one move, the nearest of it.
    return np.asarray(some if some.any() else near & (count == count[near].min()))


def shot_time_is_right(pairing: Pairing, recipe: Recipe, posterior: Posterior, sweet: Recipe) -> bool:
    """Whether a recipe probably runs neither fast nor slow, or about as long as the sweet spot.

    By the posterior median of its shot time, which one channelled puck can't upset.
    """
    here, best = np.exp(np.median(posterior.median_log_time(inputs(pairing, [recipe, sweet])), axis=0))
    stretch = pairing.ratio / USUAL_RATIO
    usual = FAST_S * stretch <= here <= SLOW_S * stretch
    return bool(usual or best / NEAR_SWEET_TIME <= here <= best * NEAR_SWEET_TIME)


def left_alone(pairing: Pairing, last: Recipe, lattice: Candidates, rows: np.ndarray) -> Floats:
    """The recipes of those rows as they are asked for, rows of grind, dose_g, temp_c, (n, 3).

    A dial that stands nearer to the lattice's setting than to its other ones isn't moved: the lattice can't tell the
    two apart.
    """
    stands = pairing.snap(last)
    here = lattice.raw[lattice.row(pairing, stands)]
    raw = lattice.raw[rows]
    return np.where(raw == here, (stands.grind, stands.dose_g, stands.temp_c), raw)


def trust_region(pairing: Pairing, shots: Sequence[Shot], grinds: Floats) -> Bools:
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
