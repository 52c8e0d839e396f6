"""A simulated bag on a simulated bench: the truth that no method sees, and the pulls that it does see."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime

import numpy as np

from dialopt import Pairing, Recipe, Shot
from experiments.worlds.bench import LONGEST_S, SHORTEST_S, Floats, Taster

CHANNELLED_SHARE = 1 / 12
CHANNELLED_TIME = 0.45, 0.8
"""Share of its usual time that a channelled puck takes, anything between as likely."""
CHANNELLED_LOSS, CHANNELLED_LOSS_SD = (0.8, 3.0), 0.7
"""Points that it tastes worse, anything between as likely, and their scatter beyond that."""
CHANNELLED_LEAN, CHANNELLED_LEAN_SD = -0.15, 0.25
"""What its extraction is off by, in the units of `World.lean`."""


Surface = Callable[..., Floats]
"""A quantity over grind, dose and temperature, for arrays that broadcast together; the grind runs from 0, coarse, to 1,
fine. Worlds whose ratio may vary give it as a fourth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """One bag.

    taste: true liking of an average puck, 0–10. lean: how far the cup is over-extracted (below 0: under), in ln s of
    shot time or the like. seconds: median shot time, s. scatter: sd of log time from puck to puck. later: the world
    that shot number n meets, for bags that change; None for one that doesn't. pulled_at: when, for bags that know the
    day. best, best_liking: the best recipe on the dials, found by trying them all.
    """

    family: str
    seed: int
    pairing: Pairing
    taste: Surface
    lean: Surface
    seconds: Surface
    scatter: float
    taster: Taster
    later: Callable[[int], World] | None = None
    pulled_at: datetime | None = None
    best: Recipe = field(init=False)
    best_liking: float = field(init=False)

    def __post_init__(self) -> None:
        grid = self.liking_grid()
        indices = np.unravel_index(int(np.argmax(grid)), grid.shape)
        dials = self.pairing.dials.items()
        best = Recipe(**{name: dial.settings()[i] for (name, dial), i in zip(dials, indices, strict=True)})
        object.__setattr__(self, "best", best)
        object.__setattr__(self, "best_liking", float(grid[indices]))

    def at(self, index: int) -> World:
        """The bag as shot number `index`, from 0, meets it."""
        return self if self.later is None else self.later(index)

    def liking(self, recipe: Recipe) -> float:
        """True liking of an average puck of this recipe, 0–10."""
        return self._at(self.taste, recipe)

    def liking_grid(self) -> Floats:
        """True liking at every setting, shape (grinds, doses, temperatures, ratios) in the order of `pairing.dials`."""
        axes = [np.array(dial.settings()) for dial in self.pairing.dials.values()]
        grind, dose_g, temp_c, ratio = np.meshgrid(*axes, indexing="ij", sparse=True)
        shape = tuple(len(axis) for axis in axes)
        if not self._varies:
            grind, dose_g, temp_c = (axis[..., 0] for axis in (grind, dose_g, temp_c))
        fourth = [ratio] if self._varies else []
        liking = self.taste(fineness(self.pairing, grind), dose_g, temp_c, *fourth)
        return np.broadcast_to(liking.reshape((*liking.shape, *[1] * (len(shape) - liking.ndim))), shape)

    def regret(self, recipe: Recipe) -> float:
        """Liking given away against the best recipe on the dials, 0 at the best."""
        return self.best_liking - self.liking(recipe)

    def time_s(self, recipe: Recipe) -> float:
        """Median shot time of this recipe, s."""
        return self._at(self.seconds, recipe)

    def pull(self, recipe: Recipe, rng: np.random.Generator) -> Shot:
        """One pull. Takes the same draws from `rng` whatever the recipe, so that methods can share them.

        One puck in twelve channels, and nobody marks it: it runs fast and tastes worse and erratic.
        """
        (puck, weigh, tongue, note, jolt, wild), (chance, gush, spoil) = _luck(rng)
        chi2 = float(rng.chisquare(self.taster.tail_df or 1.0))
        target_g = self.pairing.yield_g(recipe)
        yield_g = target_g + float(np.clip(0.5 * weigh, -1.5, 1.5))
        # Where the ratio counts, what is in the cup is what is tasted.
        pulled = replace(recipe, ratio=yield_g / recipe.dose_g) if self._varies else recipe
        liking, lean = self.liking(pulled), self._at(self.lean, pulled)
        time_s = self.time_s(pulled) * float(np.exp(self.scatter * puck))
        time_s *= 1.0 if self._varies else yield_g / target_g
        if chance < CHANNELLED_SHARE:
            time_s *= _between(CHANNELLED_TIME, gush)
            liking += CHANNELLED_LOSS_SD * jolt - _between(CHANNELLED_LOSS, spoil)
            lean += CHANNELLED_LEAN_SD * wild + CHANNELLED_LEAN
        return Shot(
            recipe=recipe,
            yield_g=round(yield_g, 1),
            time_s=float(np.clip(round(time_s), SHORTEST_S, LONGEST_S)),
            score=self.taster.score(liking, tongue, chi2),
            balance=self.taster.balance(lean, note),
            pulled_at=self.pulled_at,
        )

    @staticmethod
    def channels(rng: np.random.Generator) -> bool:
        """Whether the pull that takes these draws from `rng` channels; no method may know."""
        return bool(_luck(rng)[1][0] < CHANNELLED_SHARE)

    def _at(self, surface: Surface, recipe: Recipe) -> float:
        fine = fineness(self.pairing, np.array([recipe.grind]))
        ratio = [np.array([self.pairing.ratio_of(recipe)])] if self._varies else []
        return float(surface(fine, np.array([recipe.dose_g]), np.array([recipe.temp_c]), *ratio).item())

    @property
    def _varies(self) -> bool:
        return not self.pairing.dials["ratio"].fixed


def _between(ends: tuple[float, float], share: float) -> float:
    low, high = ends
    return low + (high - low) * share


def _luck(rng: np.random.Generator) -> tuple[Floats, Floats]:
    return rng.standard_normal(6), rng.random(3)


def fineness(pairing: Pairing, grind: Floats) -> Floats:
    """Where a grind lies between the coarsest setting, 0, and the finest, 1."""
    dial = pairing.grinder.grind
    share = (grind - dial.low) / max(dial.high - dial.low, dial.step)
    return 1.0 - share if pairing.grinder.finer == "down" else share
