"""A recipe: what is set before the pump starts, and the cup weight to stop at."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.errors import BadValue
from dialopt.trade.checks import maybe_number, number
from dialopt.trade.fields import RECIPE_FIELDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """What is set before the pump starts, and when to stop it. Raises BadValue.

    grind: in the grinder's own numbers. dose_g: coffee, g. temp_c: brew water, °C. ratio: grams in the cup a gram of
    coffee; None for the pairing's own.

    >>> Recipe(grind=18, dose_g=18, temp_c=93, ratio=2.2)
    Recipe(grind=18.0, dose_g=18.0, temp_c=93.0, ratio=2.2)
    """

    grind: float
    dose_g: float
    temp_c: float
    ratio: float | None = None

    def __post_init__(self) -> None:
        for field in RECIPE_FIELDS:
            value = getattr(self, field.name)
            try:
                checked = (number if field.required else maybe_number)(
                    field.name, value, field.low, field.high, field.unit
                )
            except BadValue as bad:
                if field.name == "temp_c" and isinstance(value, int | float) and 140 <= value <= 230:
                    raise BadValue("temp_c", value, f"{bad.accepted} (it looks like °F)") from None
                raise
            object.__setattr__(self, field.name, checked)
