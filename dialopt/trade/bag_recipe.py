"""The recipe that a roaster suggests on the bag."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from dialopt.errors import BadValue
from dialopt.trade.fields import Field, Fields, hold


@dataclass(frozen=True, slots=True, kw_only=True)
class BagRecipe:
    """As much of it as the bag gives: where the best cup may lie, on other kit and to another palate. Raises BadValue.

    dose_g: coffee, g. ratio: grams in the cup a gram of coffee. time_s: shot time, s. temp_c: brew water, °C.
    """

    FIELDS: ClassVar[Fields] = (
        Field(name="dose_g", low=1, high=60, unit="g", in_errors="suggested dose_g"),
        Field(name="ratio", low=0.5, high=6, in_errors="suggested ratio"),
        Field(name="time_s", low=5, high=120, unit="s", in_errors="suggested time_s"),
        Field(name="temp_c", low=70, high=100, unit="°C", in_errors="suggested temp_c"),
    )

    dose_g: float | None = None
    ratio: float | None = None
    time_s: float | None = None
    temp_c: float | None = None

    def __post_init__(self) -> None:
        hold(self)
        if all(getattr(self, field.name) is None for field in self.FIELDS):
            raise BadValue("suggested", None, "a dose, a ratio, a time or a temperature, or all of them")
