"""The kit: grinder, machine, basket."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.errors import BadValue
from dialopt.trade.checks import number, one_of, text
from dialopt.trade.dial import Dial

FINE_END = 0.1
"""Share of a grinder's dial in which burrs may touch (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grinder:
    """A grinder with one set of burrs. Raises BadValue.

    name: what it is called; the same name is the same grinder. grind: the settings that it offers, in its own numbers.
    finer: which way the numbers run finer, "down" or "up". burrs: the set that is in it; another set is another clock.
    purge_g: coffee to throw away after the grind moved or other beans went in, g (2 g is common practice).
    """

    name: str
    grind: Dial
    finer: str = "down"
    burrs: str = "set 1"
    purge_g: float = 2.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "name", text("grinder name", self.name))
        _check_dial("grind", self.grind)
        object.__setattr__(self, "finer", one_of("finer", self.finer, ("down", "up")))
        object.__setattr__(self, "burrs", text("burrs", self.burrs))
        object.__setattr__(self, "purge_g", number("purge_g", self.purge_g, 0, 30, "g"))

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

    name: str
    temp_c: Dial

    def __post_init__(self) -> None:
        object.__setattr__(self, "name", text("machine name", self.name))
        _check_dial("temp_c", self.temp_c)
        number("the lowest temp_c", self.temp_c.low, 20, 110, "°C")
        number("the highest temp_c", self.temp_c.high, 20, 110, "°C")


@dataclass(frozen=True, slots=True, kw_only=True)
class Basket:
    """A filter basket. Raises BadValue.

    dose_g: the doses that it takes, g, in steps that the scale can show.
    """

    dose_g: Dial
    name: str = "basket"

    def __post_init__(self) -> None:
        object.__setattr__(self, "name", text("basket name", self.name))
        _check_dial("dose_g", self.dose_g)
        number("the lowest dose_g", self.dose_g.low, 1, 60, "g")
        number("the highest dose_g", self.dose_g.high, 1, 60, "g")


def _check_dial(field: str, dial: object) -> None:
    if not isinstance(dial, Dial):
        raise BadValue(field, dial, "a Dial")
