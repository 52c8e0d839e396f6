"""A recipe: what is set before the pump starts, and the cup weight to stop at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from dialopt.trade.fields import RECIPE_FIELDS, Fields, hold


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """What is set before the pump starts, and when to stop it. Raises BadValue.

    grind: in the grinder's own numbers. dose_g: coffee, g. temp_c: brew water, °C. ratio: grams in the cup a gram of
    coffee; None for the pairing's own.

    >>> Recipe(grind=18, dose_g=18, temp_c=93, ratio=2.2)
    Recipe(grind=18.0, dose_g=18.0, temp_c=93.0, ratio=2.2)
    """

    FIELDS: ClassVar[Fields] = RECIPE_FIELDS

    grind: float
    dose_g: float
    temp_c: float
    ratio: float | None = None

    def __post_init__(self) -> None:
        hold(self)
