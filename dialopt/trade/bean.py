"""A bag of beans."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from dialopt.trade.bag_recipe import BagRecipe
from dialopt.trade.caffeine import SPECIES
from dialopt.trade.fields import Field, Fields, hold, name_field
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

    FIELDS: ClassVar[Fields] = (
        name_field("bean"),
        Field(name="roaster", kind="text", option=("--roaster", "TEXT", "Who roasted it.")),
        Field(name="origin", kind="text", option=("--origin", "TEXT", "Where it grew.")),
        Field(name="process", kind="text", option=("--process", "TEXT", "How it was processed.")),
        Field(name="roast", kind="choice", choices=ROASTS, option=("--roast", "|".join(ROASTS), "How dark it is.")),
        Field(
            name="roasted_on",
            kind="day",
            option=("--roasted-on", "DATE", "The roasting date, never a best-before date."),
        ),
        Field(
            name="opened_on",
            kind="day",
            option=("--opened-on", "DATE", "When the bag was opened; tells a new bag of the same roast."),
        ),
        Field(name="bag_g", low=1, high=100_000, unit="g", option=("--bag-g", "G", "What the full bag held, g.")),
        Field(
            name="suggested",
            kind="part",
            part=BagRecipe,
            option=("--suggested", "RECIPE", "What the roaster suggests, such as 18 g, 1:2, 28 s, 93 °C."),
        ),
        Field(
            name="species",
            kind="choice",
            choices=SPECIES,
            option=("--species", "|".join(SPECIES), "What it is, for the caffeine."),
        ),
    )

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
        hold(self)

    def is_coffee_of(self, other: Bean) -> bool:
        """Whether both are bags of one coffee, by its name and, where both say, its roaster."""
        one_roaster = self.roaster is None or other.roaster is None or same_name(self.roaster, other.roaster)
        return same_name(self.name, other.name) and one_roaster

    def is_bag_of(self, other: Bean) -> bool:
        """Whether both are one bag. What was told of it later, such as its species, makes it no other one."""
        dated = (self.roasted_on, self.opened_on, self.bag_g)
        return self.is_coffee_of(other) and dated == (other.roasted_on, other.opened_on, other.bag_g)
