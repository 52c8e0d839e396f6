"""Fields, each declared once: what it holds, what it takes and what it is called.

Those of a recipe and of a shot stand here, those of a bean, of kit and of a pairing in their classes. All else follows:
what a class checks, the columns of the logbook and of a spreadsheet, the keys of JSON and of a share file, the options
of a command, the questions of a conversation and the words of a shot. A new optional field is a `Field`, an attribute
of its class and a step of the logbook's schema.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, ClassVar, Literal, Protocol

from dialopt.errors import BadValue
from dialopt.trade.checks import number, one_of, text, whole_number
from dialopt.trade.dial import Dial

Kind = Literal["number", "whole", "text", "note", "choice", "day", "moment", "dial", "number_or_dial", "part"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field.

    name: of the attribute, the column and the key. kind: "text" is a line of it, "note" may be long, "part" another
    thing made of fields. low, high: of a number, of the ends of a dial; high: the longest note. unit: of them, as it
    stands behind the bounds. choices: of a choice. part: the class of a part. needed: it can't be None. in_errors: what
    an error calls it, where not by its name. label: what a person calls it. option: its flag, metavar and help at the
    command line. question: asked of it in a conversation, empty where it isn't. said, unsaid: of a shot that has it and
    of one that hasn't. context: it is logged, shown and exported, and nothing is learned from it.
    """

    name: str
    kind: Kind = "number"
    low: float = 0.0
    high: float = 0.0
    unit: str = ""
    choices: tuple[str, ...] = ()
    part: type | None = None
    needed: bool = False
    in_errors: str = ""
    label: str = ""
    option: tuple[str, str, str] = ("", "", "")
    question: str = ""
    said: str = ""
    unsaid: str = ""
    context: bool = False

    def checked(self, value: Any) -> Any:
        """The value as it is held. Raises BadValue."""
        name = self.in_errors or self.name
        if value is None and not self.needed:
            return None
        if self.kind == "number" or (self.kind == "number_or_dial" and not isinstance(value, Dial)):
            return self._number(name, value)
        if self.kind == "whole":
            return whole_number(name, value, int(self.low), int(self.high))
        if self.kind == "text":
            return text(name, value)
        if self.kind == "choice":
            return one_of(name, value, self.choices)
        if self.kind in ("dial", "number_or_dial") and isinstance(value, Dial):
            self._number(f"the lowest {name}", value.low)
            self._number(f"the highest {name}", value.high)
            return value
        fits, accepted = {
            "note": (isinstance(value, str) and len(value) <= self.high, f"text of at most {self.high:,} characters"),
            "day": (isinstance(value, date) and not isinstance(value, datetime), "a date, as a datetime.date"),
            "moment": (isinstance(value, datetime), "a date and time, as a datetime"),
            "dial": (False, "a Dial"),
            "part": (self.part is not None and isinstance(value, self.part), f"a {getattr(self.part, '__name__', '')}"),
        }[self.kind]
        if not fits:
            raise BadValue(name, value, accepted)
        return value

    def _number(self, name: str, value: object) -> float:
        try:
            return number(name, value, self.low, self.high, self.unit)
        except BadValue as bad:
            if self.unit == "°C" and isinstance(value, int | float) and 140 <= value <= 230:
                raise BadValue(name, value, f"{bad.accepted} (it looks like °F)") from None
            raise


Fields = tuple[Field, ...]


class Declared(Protocol):
    """A thing made of declared fields."""

    FIELDS: ClassVar[Fields]


def hold(thing: Declared) -> None:
    """Checks each field of a thing that is being made, and keeps it as it is held. Raises BadValue."""
    for field in thing.FIELDS:
        object.__setattr__(thing, field.name, field.checked(getattr(thing, field.name)))


def name_field(whose: str) -> Field:
    """The name of a bean or a piece of kit."""
    return Field(name="name", kind="text", needed=True, in_errors=f"{whose} name")


FAULTS: dict[str, str] = {
    "channelled": "water broke through the puck: the taste misleads, the clock too",
    "choked": "hardly anything came out: too fine for this dose, whatever the clock said",
    "spilt": "part of the cup was lost: the clock stands, the cup doesn't",
    "misweighed": "dose or yield is not what was noted: neither taste nor clock counts",
    "other": "something else went wrong: neither taste nor clock counts",
}
"""Fault kinds and what each still tells. A shot with a fault never counts as a tasting of its recipe."""
SCALE = 0, 10
"""The ends of a score."""

LEAST_RATIO, MOST_RATIO = 0.5, 6.0

RECIPE_FIELDS = (
    Field(
        name="grind",
        low=-1e9,
        high=1e9,
        needed=True,
        label="grind",
        option=("--grind", "SETTING", "Grind, in the grinder's own numbers."),
    ),
    Field(
        name="dose_g",
        low=1,
        high=60,
        unit="g",
        needed=True,
        label="dose",
        option=("--dose", "G", "Dry coffee in the basket, g."),
    ),
    Field(
        name="temp_c",
        low=20,
        high=110,
        unit="°C",
        needed=True,
        label="temperature",
        option=("--temp", "°C", "Brew water, °C."),
    ),
    Field(
        name="ratio",
        low=LEAST_RATIO,
        high=MOST_RATIO,
        label="ratio",
        option=("--ratio", "1:X", "Grams in the cup a gram of coffee, where the pairing lets it vary."),
    ),
)
NOTED_FIELDS = (
    Field(
        name="yield_g",
        low=0.1,
        high=500,
        unit="g",
        label="cup",
        option=("--yield", "G", "Beverage in the cup, g."),
        question="In the cup, g",
    ),
    Field(
        name="time_s",
        low=1,
        high=600,
        unit="s",
        label="time",
        option=("--time", "S", "Pump on to cup away, s."),
        question="Time from pump on to cup away, s",
    ),
    Field(
        name="score",
        low=SCALE[0],
        high=SCALE[1],
        label="score",
        option=("--score", "0-10", "How well you like it."),
        question="Score, 0 to 10",
    ),
    Field(
        name="balance",
        low=-3,
        high=3,
        unit="(−3 very sour, 0 balanced, 3 very bitter)",
        label="balance",
        option=("--balance", "-3..3", "-3 very sour, 0 balanced, 3 very bitter."),
        question="Balance, -3 very sour, 0 balanced, 3 very bitter",
    ),
    Field(
        name="fault",
        kind="choice",
        choices=tuple(FAULTS),
        label="fault",
        option=("--fault", "KIND", f"What went wrong, if anything: {', '.join(FAULTS)}."),
    ),
    Field(
        name="tds_pct",
        low=0.1,
        high=30,
        unit="%",
        label="strength",
        option=("--tds", "%", "Strength: dissolved solids, % of the beverage."),
        question="Strength, % dissolved",
        said="strength {:g} %",
        unsaid="no strength",
    ),
    Field(
        name="pulled_at",
        kind="moment",
        label="pulled_at",
        option=("--at", "WHEN", "When it was pulled, as 2031-04-09T07:15."),
        said="pulled at {}",
        unsaid="not said when",
    ),
    Field(
        name="note",
        kind="note",
        high=10_000,
        label="note",
        option=("--note", "TEXT", "Anything worth remembering."),
        said="note: {}",
        unsaid="no note",
    ),
    Field(
        name="preinfusion_s",
        low=0,
        high=120,
        unit="s",
        label="preinfusion",
        option=("--preinfusion", "S", "Low-pressure wetting before full pressure, s."),
        said="{:g} s preinfusion",
        unsaid="no preinfusion noted",
        context=True,
    ),
)
FIELDS = (*RECIPE_FIELDS, *NOTED_FIELDS)
"""In the order of export."""
BY_NAME = {field.name: field for field in FIELDS}
RECIPE_COLUMNS = tuple(field.name for field in RECIPE_FIELDS)
REQUIRED_COLUMNS = tuple(field.name for field in RECIPE_FIELDS if field.needed)
NOTED_COLUMNS = tuple(field.name for field in NOTED_FIELDS)
COLUMNS = (*RECIPE_COLUMNS, *NOTED_COLUMNS)
NUMBER_COLUMNS = tuple(field.name for field in FIELDS if field.kind == "number")
