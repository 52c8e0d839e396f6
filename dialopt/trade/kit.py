"""The kit: grinder, machine, basket."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from dialopt.trade.dial import Dial
from dialopt.trade.fields import Field, Fields, hold, name_field

FINER = ("down", "up")
DIAL = "LOW:HIGH:STEP"
"""How a dial is typed."""

FINE_END = 0.1
"""Share of a grinder's dial in which burrs may touch (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grinder:
    """A grinder with one set of burrs. Raises BadValue.

    name: what it is called; the same name is the same grinder. grind: the settings that it offers, in its own numbers.
    finer: which way the numbers run finer, "down" or "up". burrs: the set that is in it; another set is another clock.
    purge_g: coffee to throw away after the grind moved or other beans went in, g (2 g is common practice).
    """

    FIELDS: ClassVar[Fields] = (
        name_field("grinder"),
        Field(
            name="grind",
            kind="dial",
            low=-1e9,
            high=1e9,
            needed=True,
            option=("--grind", DIAL, "The settings of its dial, such as 0:40:1."),
        ),
        Field(
            name="finer",
            kind="choice",
            choices=FINER,
            needed=True,
            option=("--finer", "|".join(FINER), "Which way the numbers run finer."),
        ),
        Field(
            name="burrs",
            kind="text",
            needed=True,
            option=("--burrs", "TEXT", "The burrs in it; set 1 unless you say."),
        ),
        Field(
            name="purge_g",
            low=0,
            high=30,
            unit="g",
            needed=True,
            option=("--purge-g", "G", "Coffee thrown away after the grind moved, g; 2 unless you say."),
        ),
    )

    name: str
    grind: Dial
    finer: str = "down"
    burrs: str = "set 1"
    purge_g: float = 2.0

    def __post_init__(self) -> None:
        hold(self)

    def finer_steps(self, start: float, end: float) -> int:
        """Steps of the dial from one grind to another, positive when the second is finer.

        >>> Grinder(name="bench grinder", grind=Dial(0, 40, 1)).finer_steps(18, 16)
        2
        """
        steps = self.grind.steps_between(start, end)
        return -steps if self.finer == "down" else steps

    def at_fine_end(self, grind: float) -> bool:
        """Whether burrs may touch there: in the finest `FINE_END` of a dial that can be turned."""
        finest = self.grind.low if self.finer == "down" else self.grind.high
        return not self.grind.fixed and abs(grind - finest) <= FINE_END * (self.grind.high - self.grind.low)

    def purged_g(self, start: float, end: float, *, same_bean: bool) -> float:
        """Coffee to throw away between a shot ground at `start` and one at `end`, g.

        The grind moves, or other beans go in: either way the old grounds in it would spoil the next shot.
        """
        return 0.0 if same_bean and self.grind.index(start) == self.grind.index(end) else self.purge_g


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """An espresso machine. Raises BadValue.

    temp_c: what its brew water can be set to, °C; `Dial(93, 93)` for one that can't be set.
    """

    FIELDS: ClassVar[Fields] = (
        name_field("machine"),
        Field(
            name="temp_c",
            kind="dial",
            low=20,
            high=110,
            unit="°C",
            needed=True,
            option=("--temp", DIAL, "Brew water, °C, such as 88:96:1; one number where it can't be set."),
        ),
    )

    name: str
    temp_c: Dial

    def __post_init__(self) -> None:
        hold(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Basket:
    """A filter basket. Raises BadValue.

    dose_g: the doses that it takes, g, in steps that the scale can show.
    """

    FIELDS: ClassVar[Fields] = (
        name_field("basket"),
        Field(
            name="dose_g",
            kind="dial",
            low=1,
            high=60,
            unit="g",
            needed=True,
            option=("--dose", DIAL, "The doses it takes, g, such as 16.5:20:0.1."),
        ),
    )

    dose_g: Dial
    name: str = "basket"

    def __post_init__(self) -> None:
        hold(self)
