"""The fields of a recipe and of a shot, each declared once: what it holds, what it takes and what it is called.

All else follows from here: what `Recipe` and `Shot` check, the columns of a spreadsheet and of the logbook, the keys of
JSON, the options of a command, the questions of a conversation and the words of a shot. A new optional field of a shot
is a row here, an attribute of `Shot` and a step of the logbook's schema.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field.

    name: of the attribute, the column and the key. low, high: of a number. unit: of it, as it stands behind the bounds.
    label: what a person calls it. option: its flag, metavar and help at the command line. question: asked of it in a
    conversation, empty where it isn't. required: nothing goes without it. said, unsaid: of a shot that
    has it and of one that hasn't. context: it is logged, shown and exported, and nothing is learned from it.
    """

    name: str
    kind: Literal["number", "fault", "moment", "text"] = "number"
    low: float = 0.0
    high: float = 0.0
    unit: str = ""
    label: str
    option: tuple[str, str, str]
    question: str = ""
    said: str = ""
    unsaid: str = ""
    context: bool = False
    required: bool = False


SCALE = 0, 10
"""The ends of a score."""

RECIPE_FIELDS = (
    Field(
        name="grind",
        low=-1e9,
        high=1e9,
        label="grind",
        required=True,
        option=("--grind", "SETTING", "Grind, in the grinder's own numbers."),
    ),
    Field(
        name="dose_g",
        low=1,
        high=60,
        unit="g",
        label="dose",
        required=True,
        option=("--dose", "G", "Dry coffee in the basket, g."),
    ),
    Field(
        name="temp_c",
        low=20,
        high=110,
        unit="°C",
        label="temperature",
        required=True,
        option=("--temp", "°C", "Brew water, °C."),
    ),
    Field(
        name="ratio",
        low=0.5,
        high=6,
        label="ratio",
        option=("--ratio", "RATIO", "Grams in the cup a gram of coffee, as 2.2 or 1:2.2."),
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
    Field(name="fault", kind="fault", label="fault", option=("--fault", "KIND", "What went wrong, if anything")),
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
        kind="text",
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
RECIPE_COLUMNS = tuple(field.name for field in RECIPE_FIELDS)
REQUIRED_COLUMNS = tuple(field.name for field in RECIPE_FIELDS if field.required)
NOTED_COLUMNS = tuple(field.name for field in NOTED_FIELDS)
COLUMNS = (*RECIPE_COLUMNS, *NOTED_COLUMNS)
NUMBER_COLUMNS = tuple(field.name for field in FIELDS if field.kind == "number")
