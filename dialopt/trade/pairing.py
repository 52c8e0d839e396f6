"""A pairing: one bean on one set of kit, the thing that is dialled in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from dialopt.errors import BadValue
from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial
from dialopt.trade.fields import LEAST_RATIO, MOST_RATIO, Field, Fields, hold
from dialopt.trade.kit import Basket, Grinder, Machine
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

DRINKS = ("straight", "milk")
COUNTS = ("cups", "recipe")
"""What counts of a bag: every cup that is drunk, tests too, or the final recipe alone, as where tests are spat out."""
MOST_EARLIER = 4
"""Other pairings whose taste and clock are read for one, the first ones given that have something to tell."""
DIAL_WORDS = {"grind": "grind", "dose_g": "dose", "temp_c": "temperature", "ratio": "ratio"}
"""The four dials by the recipe's field names, as people call them."""
DIAL_UNITS = {"grind": "", "dose_g": " g", "temp_c": " °C", "ratio": ""}
USUAL_RATIO = 2.0
"""Grams in the cup a gram of coffee of today's double (common practice)."""
USUAL_BAG_G = 250.0
"""What a bag is taken to hold when nobody said, g (common practice)."""
FAR_GRIND, FAR_DOSE, FAR_TEMP_C = 0.25, 1.3, 10.0
"""How far beyond the dials a grind, as a share of its dial, a dose, as a factor, and a temperature, °C, may lie and
still be meant (our own bounds)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairing:
    """A bean, the kit and water it is brewed with, and how it is drunk. Raises BadValue.

    bean, grinder, machine, basket: what is brewed, and with what; another of any is another pairing. ratio: grams in
    the cup a gram of coffee, at which every shot is stopped, or a Dial of what may be tried. drink: "straight" or
    "milk". water: the brew water in a person's own words, None where nobody said. taster: whose palate scores its
    shots, None for whoever keeps the logbook. counts: "cups" where every cup is drunk, tests too, "recipe" where only
    the final recipe counts. bags_to_come: how many more bags of this bean will follow this one, as where a café buys it
    every week.
    """

    FIELDS: ClassVar[Fields] = (
        *(
            Field(
                name=part.__name__.lower(),
                kind="part",
                part=part,
                needed=True,
                option=(f"--{part.__name__.lower()}", "NAME", "Else one that is new, or that of the pairing in use."),
            )
            for part in (Bean, Grinder, Machine, Basket)
        ),
        Field(
            name="ratio",
            kind="number_or_dial",
            low=LEAST_RATIO,
            high=MOST_RATIO,
            needed=True,
            option=(
                "--ratio",
                "1:X",
                "Grams in the cup a gram of coffee, or the span to try, as 1.5-3; else the roaster's, else 1:2.",
            ),
        ),
        Field(
            name="drink",
            kind="choice",
            choices=DRINKS,
            needed=True,
            option=("--drink", "|".join(DRINKS), "How it is drunk; else as in the pairing in use."),
        ),
        Field(
            name="water",
            kind="text",
            option=(
                "--water",
                "TEXT",
                "The brew water, in your own words; else that of the pairing in use. New water for the bag in use "
                "needs nothing else: the rest stays as it is.",
            ),
        ),
        Field(
            name="counts",
            kind="choice",
            choices=COUNTS,
            needed=True,
            option=(
                "--counts",
                "|".join(COUNTS),
                "What counts: every cup of the bag, tests too, or the final recipe alone, as where tests are spat out.",
            ),
        ),
        Field(
            name="bags_to_come",
            kind="whole",
            low=0,
            high=1000,
            needed=True,
            option=("--bags-to-come", "N", "How many more bags of this bean will follow, as in a café; else none."),
        ),
        Field(name="taster", kind="text"),
    )

    bean: Bean
    grinder: Grinder
    machine: Machine
    basket: Basket
    ratio: float | Dial = USUAL_RATIO
    drink: str = "straight"
    water: str | None = None
    taster: str | None = None
    counts: str = COUNTS[0]
    bags_to_come: int = 0

    def __post_init__(self) -> None:
        hold(self)

    @property
    def title(self) -> str:
        """The pairing in a few words."""
        return f"{self.bean.name} on {self.grinder.name}"

    @property
    def dials(self) -> Mapping[str, Dial]:
        """The four dials by the recipe's field names, always in this order; a fixed ratio is a dial of one setting."""
        return {
            "grind": self.grinder.grind,
            "dose_g": self.basket.dose_g,
            "temp_c": self.machine.temp_c,
            "ratio": self.ratio if isinstance(self.ratio, Dial) else Dial(self.ratio, self.ratio),
        }

    @property
    def usual_ratio(self) -> float:
        """The ratio where a recipe names none: the fixed one, or the setting nearest to that of today's double."""
        return self.dials["ratio"].snap(USUAL_RATIO)

    def ratio_of(self, recipe: Recipe) -> float:
        """The ratio at which a recipe is stopped."""
        return self.usual_ratio if recipe.ratio is None else recipe.ratio

    def at_ratio(self, recipe: Recipe) -> Recipe:
        """The recipe with the ratio at which it is stopped."""
        return recipe if recipe.ratio is not None else replace(recipe, ratio=self.usual_ratio)

    @property
    def bag_g(self) -> float:
        """Coffee in the bag when it was opened, g."""
        return self.bean.bag_g if self.bean.bag_g is not None else USUAL_BAG_G

    def as_pulled(self, shot: Shot) -> Recipe:
        """The shot's recipe at the ratio that was in the cup, where its weight was noted and counts.

        Beyond a factor of two from what was meant the weight is more likely a mistyped one than a cup.
        """
        meant = self.at_ratio(shot.recipe)
        if shot.yield_g is None or shot.fault is not None:
            return meant
        pulled = min(max(shot.yield_g / meant.dose_g, LEAST_RATIO), MOST_RATIO)
        return replace(meant, ratio=pulled) if 0.5 < pulled / self.ratio_of(meant) < 2.0 else meant

    def noted(self, recipe: Recipe) -> Recipe:
        """The recipe as it is written down: without a ratio that can't be another."""
        fixed = self.dials["ratio"].fixed and recipe.ratio == self.usual_ratio
        return replace(recipe, ratio=None) if fixed else recipe

    def snap(self, recipe: Recipe) -> Recipe:
        """The recipe on the dials that is nearest to this one."""
        recipe = self.at_ratio(recipe)
        return Recipe(**{name: dial.snap(getattr(recipe, name)) for name, dial in self.dials.items()})

    def as_dialled(self, recipe: Recipe) -> Recipe:
        """The setting that a recipe was pulled at: the nearest where it lies within half a step, otherwise itself.

        Half a step and a little, as a reading between two marks is the same setting, one far off the dials another.
        """
        recipe, snapped = self.at_ratio(recipe), self.snap(recipe)
        near = all(
            abs(getattr(recipe, name) - getattr(snapped, name)) <= 0.51 * dial.step for name, dial in self.dials.items()
        )
        return snapped if near else recipe

    def may_be_meant(self, recipe: Recipe) -> bool:
        """Whether a recipe lies on the dials or not far off them; one that lies farther is a slip of the pen.

        It may lie as far beyond as `FAR_GRIND`, which is a step at least, `FAR_DOSE` and `FAR_TEMP_C` say.
        """
        grind, dose, temp = self.grinder.grind, self.basket.dose_g, self.machine.temp_c
        reach = max(FAR_GRIND * (grind.high - grind.low), grind.step) + 1e-9
        return (
            grind.low - reach <= recipe.grind <= grind.high + reach
            and dose.low / FAR_DOSE <= recipe.dose_g <= dose.high * FAR_DOSE
            and temp.low - FAR_TEMP_C <= recipe.temp_c <= temp.high + FAR_TEMP_C
        )

    def meant(self, shots: Sequence[Shot]) -> list[Shot]:
        """Those of the shots that aren't slips of the pen."""
        return [shot for shot in shots if self.may_be_meant(shot.recipe)]

    def off_dial(self, recipe: Recipe) -> list[str]:
        """The names of the settings that their dials don't offer."""
        recipe = self.at_ratio(recipe)
        return [name for name, dial in self.dials.items() if not dial.offers(getattr(recipe, name))]

    def check(self, recipe: Recipe) -> Recipe:
        """The recipe itself when every setting is on its dial; raises BadValue naming the one that isn't."""
        recipe = self.at_ratio(recipe)
        for name in self.off_dial(recipe):
            raise BadValue(name, getattr(recipe, name), f"a setting of this dial, {self.dials[name]}")
        return self.snap(recipe)

    def yield_g(self, recipe: Recipe) -> float:
        """The cup weight to stop at, g."""
        return round(recipe.dose_g * self.ratio_of(recipe), 1)
