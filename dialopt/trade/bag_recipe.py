"""The recipe that a roaster suggests on the bag."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.errors import BadValue
from dialopt.trade.checks import maybe_number


@dataclass(frozen=True, slots=True, kw_only=True)
class BagRecipe:
    """As much of it as the bag gives: where the best cup may lie, on other kit and to another palate. Raises BadValue.

    dose_g: coffee, g. ratio: grams in the cup a gram of coffee. time_s: shot time, s. temp_c: brew water, °C.
    """

    dose_g: float | None = None
    ratio: float | None = None
    time_s: float | None = None
    temp_c: float | None = None

    def __post_init__(self) -> None:
        for field, low, high, unit in (
            ("dose_g", 1, 60, "g"),
            ("ratio", 0.5, 6, ""),
            ("time_s", 5, 120, "s"),
            ("temp_c", 70, 100, "°C"),
        ):
            checked = maybe_number(f"suggested {field}", getattr(self, field), low, high, unit)
            object.__setattr__(self, field, checked)
        if all(getattr(self, field) is None for field in ("dose_g", "ratio", "time_s", "temp_c")):
            raise BadValue("suggested", None, "a dose, a ratio, a time or a temperature, or all of them")
