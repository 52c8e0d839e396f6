"""What the decisions go by, in one place: costs, tolerances, looks ahead and the price of testing on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dialopt.model.config import MODEL, ModelConfig
from dialopt.trade.estimate import TOLERANCE

if TYPE_CHECKING:
    import numpy as np

    from dialopt.model.observations import Floats
    from dialopt.model.outcome_model import OutcomeModel


@dataclass(frozen=True, slots=True, kw_only=True)
class Config:
    """All that `advise` takes for granted, an argument of it. Points are points of liking, 0–10.

    Where no source is named a value is common practice put into a number, or settled on bags kept apart from those that
    any figure is measured on.
    """

    model: ModelConfig = MODEL
    fit: Callable[..., Any] | None = None
    """In the place of `dialopt.model.posterior.fit`."""
    gradient: Callable[[OutcomeModel, Floats, np.random.Generator, Any], Floats] | None = None
    """In the place of `dialopt.engine.acquisition.knowledge_gradient`; the last argument is this configuration."""

    tolerance: float = TOLERANCE
    sure_enough: float = 0.875
    """Probability of being near-optimal from which on it is said to be sure: seven in eight."""

    tie: float = 0.03
    """Points of liking within which two recipes are as good as equal."""
    first_reach: float = 0.25
    """How far beyond the only grind pulled a test may go, share of the grind dial."""
    later_reach: float = 0.15
    """The same beyond several grinds."""
    astray_s: tuple[float, float] = (15.0, 50.0)
    """Shot times at `USUAL_RATIO` below or above which a grind is far too coarse or too fine; no test is asked for that
    is expected to run so, unless there is no other."""
    least_hope: float = 0.02
    """Chance of being as good as the sweet spot below which no barista would pull a test."""
    glance: int = 256
    """Draws looked at where a rough look will do."""
    gap_days: int = 7
    """Days without a shot after which the next one is the sweet spot, corrected for the beans' age."""
    near_sweet_time: float = 1.15
    """Shot time over that of the sweet spot, or the other way round, up to which it is right whatever is usual."""

    mishap: float = 1.5
    """Points that a mishap costs: a mess, and a shot that tells little of taste."""
    mishap_s: tuple[float, float] = (9.0, 60.0)
    """Shot times beyond which a pull counts as a mishap."""
    grind_moved: float = 0.03
    """Points for the coffee purged."""
    temp_moved: float = 0.1
    """Points for the water waited for,"""
    temp_degree: float = 0.05
    """and for each °C of it."""

    fantasies: int = 64
    """Outcomes imagined for each recipe."""
    cups_ahead: int = 4
    """Cups of one recipe looked ahead to, beside a single one, half of those left at most: what one noisy cup can't
    teach, several may (Frazier & Powell 2010)."""
    superseded: float = 3.0
    """Cups, for each tasting so far, after which half of what one shot teaches would have been learned anyway."""
    next_bag: float = 0.5
    """Share for which what one shot teaches counts in another bag of the same bean, which is not quite this one."""
    fewest_cups: int = 2
    """Cups after the next one at the least: a bag that looks empty was most likely larger than stated, or is followed
    by another."""
    spat_out: float = 0.05
    """What the cup of a test, and the trouble of setting it up, count where only the final recipe does."""
    recipe_cups: float = 10.0
    """Cups that what one shot teaches serves where only the final recipe counts."""

    price_cups: float = 0.01
    """Points, over all cups that count, that testing on must be worth where every cup counts."""
    price_recipe: float = 0.05
    """The same where only the final recipe counts, and the coffee of a test is spat out."""
    leaving: float = 3.0
    """How many times that price, where every cup counts, while the last shot was about the sweet spot already."""
    about_the_same: float = 0.15
    """Points short of the sweet spot up to which a recipe is about as good."""
    steady: float = 10.0
    """Times the price up to which one cup doesn't take the word back that more tests won't help much."""

    def price(self, counts: str) -> float:
        """The price of testing on, by what counts, points."""
        return self.price_recipe if counts == "recipe" else self.price_cups


CONFIG = Config()
