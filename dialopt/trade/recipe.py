"""A recipe: what is set before the pump starts."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.errors import BadValue
from dialopt.trade.checks import number


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """What is set before the pump starts. Raises BadValue.

    grind: in the grinder's own numbers. dose_g: coffee, g. temp_c: brew water, °C.

    >>> Recipe(grind=18, dose_g=18, temp_c=93)
    Recipe(grind=18.0, dose_g=18.0, temp_c=93.0)
    """

    grind: float
    dose_g: float
    temp_c: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "grind", number("grind", self.grind, -1e9, 1e9))
        object.__setattr__(self, "dose_g", number("dose_g", self.dose_g, 1, 60, "g"))
        try:
            temp_c = number("temp_c", self.temp_c, 20, 110, "°C")
        except BadValue as bad:
            if isinstance(self.temp_c, int | float) and 140 <= self.temp_c <= 230:
                raise BadValue("temp_c", self.temp_c, f"{bad.accepted} (it looks like °F)") from None
            raise
        object.__setattr__(self, "temp_c", temp_c)
