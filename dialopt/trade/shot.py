"""A shot: a recipe and what came of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from dialopt.errors import BadValue
from dialopt.trade.extraction import extraction_yield_pct
from dialopt.trade.fields import FAULTS as FAULTS
from dialopt.trade.fields import NOTED_FIELDS, Fields, hold
from dialopt.trade.fields import SCALE as SCALE
from dialopt.trade.recipe import Recipe

CLOCK_STANDS = ("spilt",)
"""Faults after which the time still counts as the recipe's shot clock."""

BALANCE_WORDS = {
    -3: "very sour",
    -2: "sour",
    -1: "a little sour",
    0: "balanced",
    1: "a little bitter",
    2: "bitter",
    3: "very bitter",
}


def balance_word(balance: float) -> str:
    """The word for a balance note. Between two it is the outer one's, so that sour and bitter are told alike.

    >>> balance_word(-1.5), balance_word(0.4), balance_word(2.5)
    ('sour', 'balanced', 'very bitter')
    """
    return BALANCE_WORDS[int(math.copysign(abs(balance) + 0.5, balance))]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One pull. Only the recipe is required; what was not noted is None. Raises BadValue.

    yield_g: beverage in the cup, g. time_s: pump on to cup away, s. score: liking, 0–10. balance: −3 very sour … 0 …
    +3 very bitter. fault: one of `FAULTS`. tds_pct: dissolved solids, % of beverage mass. pulled_at: when. note: a
    person's own words. preinfusion_s: wetting at low pressure before full pressure, s; nothing is learned from it.

    >>> shot = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), time_s=27, score=4, fault="spilt")
    >>> shot.timed, shot.tasted
    (True, False)
    """

    FIELDS: ClassVar[Fields] = NOTED_FIELDS

    recipe: Recipe
    yield_g: float | None = None
    time_s: float | None = None
    score: float | None = None
    balance: float | None = None
    fault: str | None = None
    tds_pct: float | None = None
    pulled_at: datetime | None = None
    note: str | None = None
    preinfusion_s: float | None = None

    def __post_init__(self) -> None:
        if not isinstance(self.recipe, Recipe):
            raise BadValue("recipe", self.recipe, "a Recipe")
        hold(self)

    @property
    def tasted(self) -> bool:
        """Whether the score counts as a tasting of the recipe."""
        return self.score is not None and self.fault is None

    @property
    def timed(self) -> bool:
        """Whether the time counts as this recipe's shot clock."""
        return self.time_s is not None and (self.fault is None or self.fault in CLOCK_STANDS)

    @property
    def tells(self) -> bool:
        """Whether anything was noted of it that counts, beside the coffee that it took."""
        sound = self.fault is None and (self.balance is not None or self.extraction_yield_pct is not None)
        return self.tasted or self.timed or sound or self.fault == "choked"

    @property
    def ratio(self) -> float | None:
        """Grams in the cup a gram of coffee as it was pulled, or else as it was meant; None where neither was noted."""
        return self.recipe.ratio if self.yield_g is None else self.yield_g / self.recipe.dose_g

    @property
    def extraction_yield_pct(self) -> float | None:
        """Extraction yield, % of dose, where strength and yield were noted."""
        if self.tds_pct is None or self.yield_g is None:
            return None
        return extraction_yield_pct(tds_pct=self.tds_pct, yield_g=self.yield_g, dose_g=self.recipe.dose_g)


def kitchen_time(at: datetime) -> datetime:
    """The time as the clock on the wall tells it here; only one with a zone has to be turned into that."""
    if at.utcoffset() is None:
        return at
    try:
        return at.astimezone().replace(tzinfo=None)
    except (OverflowError, ValueError):  # at either end of the calendar there is no such time here
        return at.replace(tzinfo=None)
