"""A bag of beans."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from dialopt.errors import BadValue
from dialopt.trade.bag_recipe import BagRecipe
from dialopt.trade.caffeine import SPECIES
from dialopt.trade.checks import maybe_number, maybe_text, one_of, text
from dialopt.trade.names import same_name

ROASTS = ("light", "medium", "dark")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bean:
    """One coffee in one bag. Only the name is required. Raises BadValue.

    name, roaster, origin, process: in a person's own words. roast: "light", "medium" or "dark". roasted_on: the
    roasting date, never a best-before date. bag_g: coffee in the bag when it was opened, g. suggested: the recipe that
    the roaster suggests. species: one of `caffeine.SPECIES`. opened_on: the day when the bag was opened, which tells
    two bags apart that were roasted on one day, or on who knows which.
    """

    name: str
    roaster: str | None = None
    origin: str | None = None
    process: str | None = None
    roast: str | None = None
    roasted_on: date | None = None
    bag_g: float | None = None
    suggested: BagRecipe | None = None
    species: str | None = None
    opened_on: date | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "name", text("bean name", self.name))
        for field in ("roaster", "origin", "process"):
            object.__setattr__(self, field, maybe_text(field, getattr(self, field)))
        if self.roast is not None:
            object.__setattr__(self, "roast", one_of("roast", self.roast, ROASTS))
        if self.species is not None:
            object.__setattr__(self, "species", one_of("species", self.species, SPECIES))
        for field in ("roasted_on", "opened_on"):
            day = getattr(self, field)
            if day is not None and (not isinstance(day, date) or isinstance(day, datetime)):
                raise BadValue(field, day, "a date, as a datetime.date")
        if self.suggested is not None and not isinstance(self.suggested, BagRecipe):
            raise BadValue("suggested", self.suggested, "a BagRecipe")
        object.__setattr__(self, "bag_g", maybe_number("bag_g", self.bag_g, 1, 100_000, "g"))

    def is_coffee_of(self, other: Bean) -> bool:
        """Whether both are bags of one coffee, by its name and, where both say, its roaster."""
        one_roaster = self.roaster is None or other.roaster is None or same_name(self.roaster, other.roaster)
        return same_name(self.name, other.name) and one_roaster

    def is_bag_of(self, other: Bean) -> bool:
        """Whether both are one bag. What was told of it later, such as its species, makes it no other one."""
        dated = (self.roasted_on, self.opened_on, self.bag_g)
        return self.is_coffee_of(other) and dated == (other.roasted_on, other.opened_on, other.bag_g)
