"""A dial: the settings that a person can choose."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from dialopt.errors import BadValue
from dialopt.trade.checks import number

MOST_SETTINGS = 100_000
_WIDEST = 1e9
_FINEST = 1e-14
"""Least step as a share of the larger end: what a float tells apart, with room to spare."""


def plain_setting(value: float) -> str:
    """A setting as it stands on a dial: never an exponent, up to ten digits that tell.

    >>> plain_setting(18.0), plain_setting(0.0005), plain_setting(1234567.5)
    ('18', '0.0005', '1234567.5')
    """
    return f"{Decimal(f'{value:.10g}'):f}"


@dataclass(frozen=True, slots=True)
class Dial:
    """Settings from `low` to `high` in steps of `step`, in the dial's own unit.

    A span that is no whole number of steps ends at the last whole step below `high`. `Dial(93, 93)` is a dial of one
    setting, which nobody can turn. Raises BadValue for numbers that are no dial.

    >>> Dial(16.5, 17, 0.1).settings()
    (16.5, 16.6, 16.7, 16.8, 16.9, 17.0)
    >>> Dial(0, 40, 1).snap(18.4)
    18.0
    """

    low: float
    high: float
    step: float = 1.0

    def __post_init__(self) -> None:
        low = number("low", self.low, -_WIDEST, _WIDEST)
        high = number("high", self.high, -_WIDEST, _WIDEST)
        step = number("step", self.step, 0, _WIDEST)
        if high < low:
            raise BadValue("high", self.high, f"at least the low end, {low:g}")
        if step <= 0:
            raise BadValue("step", self.step, "a step above 0")
        if (high - low) / step > MOST_SETTINGS:
            raise BadValue("step", self.step, f"a step that makes at most {MOST_SETTINGS:,} settings")
        if high > low and step < _FINEST * max(abs(low), abs(high)):
            raise BadValue("step", self.step, "a step that tells one setting from the next")
        for name, value in (("low", low), ("high", high), ("step", step)):
            object.__setattr__(self, name, value)
        object.__setattr__(self, "high", self.setting(self.count - 1))

    @property
    def count(self) -> int:
        """How many settings there are."""
        return int((self.high - self.low) / self.step + 1e-6) + 1

    @property
    def fixed(self) -> bool:
        """Whether there is one setting only."""
        return self.count == 1

    @property
    def middle(self) -> float:
        """The setting at, or just below, the middle."""
        return self.setting((self.count - 1) // 2)

    def settings(self) -> tuple[float, ...]:
        """Every setting, from low to high."""
        return tuple(self.setting(index) for index in range(self.count))

    def setting(self, index: int) -> float:
        """The setting of that number, from 0 at the low end."""
        return float(Decimal(repr(self.low)) + index * Decimal(repr(self.step)))

    def thinned(self, most: int) -> tuple[float, ...]:
        """At most so many settings, evenly spread, both ends among them.

        >>> Dial(0, 40, 1).thinned(3)
        (0.0, 20.0, 40.0)
        """
        count = min(self.count, max(most, 2))
        numbers = {round(place * (self.count - 1) / max(count - 1, 1)) for place in range(count)}
        return tuple(self.setting(number) for number in sorted(numbers))

    def index(self, value: float) -> int:
        """The number of the setting nearest to `value`, from 0."""
        inside = min(max(value, self.low), self.high)  # first, as a value far off by a tiny step is no number
        return min(round((inside - self.low) / self.step), self.count - 1)

    def snap(self, value: float) -> float:
        """The setting nearest to `value`."""
        return self.setting(self.index(value))

    def offers(self, value: float) -> bool:
        """Whether `value` is a setting of this dial, up to rounding in the last digits."""
        return abs(self.snap(value) - value) <= 1e-6 * self.step

    def steps_between(self, start: float, end: float) -> int:
        """Signed number of steps from one setting to another, counted as the numbers run; also beyond the dial's ends,
        as far as it is long."""
        span = self.high - self.low
        start, end = (min(max(value, self.low - span), self.high + span) for value in (start, end))
        return round((end - start) / self.step)

    def __str__(self) -> str:
        if self.fixed:
            return f"{plain_setting(self.low)} only"
        low, high, step = (plain_setting(value) for value in (self.low, self.high, self.step))
        return f"{low} to {high} in steps of {step}"
