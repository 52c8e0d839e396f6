"""Options, each declared once: a command's parameter is of the type `Annotated[Text, option(…)]`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, TypeVar

import typer

from dialopt.trade.pairing import COUNTS
from dialopt.trade.shot import FAULTS

Text = str | None
T = TypeVar("T")
CALLED = {"dose_g": "--dose", "temp_c": "--temp", "yield_g": "--yield", "time_s": "--time", "tds_pct": "--tds"} | {
    "pulled_at": "--at",
    **{field: f"--{field.replace('_', '-')}" for field in ("roasted_on", "opened_on", "bag_g", "purge_g", "suggested")},
}
"""The options that aren't called as their fields are in what is said of a bad value."""
LISTED = 20
"""How many of a kind are listed unless --all is given: what a person looks for is nearly always among the latest."""


def option(metavar: str, help: str, *flag: str, **more: Any) -> Any:
    """An option with a value. flag: where it isn't called as its parameter is."""
    return typer.Option(*flag, metavar=metavar, help=help, **more)


def called(field: str) -> str:
    """The option of a shot's field."""
    return CALLED.get(field, f"--{field}")


def flag(name: str, help: str) -> Any:
    """An option without a value."""
    return typer.Option(name, help=help)


def argument(metavar: str, help: str, **more: Any) -> Any:
    """What stands without a name."""
    return typer.Argument(metavar=metavar, help=help, **more)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotOptions:
    """A shot as it was typed, by the shot's field names."""

    grind: Annotated[Text, option("SETTING", "Grind, in the grinder's own numbers.")] = None
    dose_g: Annotated[Text, option("G", "Dry coffee in the basket, g.", CALLED["dose_g"])] = None
    temp_c: Annotated[Text, option("°C", "Brew water, °C.", CALLED["temp_c"])] = None
    yield_g: Annotated[Text, option("G", "Beverage in the cup, g.", CALLED["yield_g"])] = None
    time_s: Annotated[Text, option("S", "Pump on to cup away, s.", CALLED["time_s"])] = None
    score: Annotated[Text, option("0-10", "How well you like it.")] = None
    balance: Annotated[Text, option("-3..3", "-3 very sour, 0 balanced, 3 very bitter.")] = None
    fault: Annotated[Text, option("KIND", f"What went wrong, if anything: {', '.join(FAULTS)}.")] = None
    tds_pct: Annotated[Text, option("%", "Strength: dissolved solids, % of the beverage.", CALLED["tds_pct"])] = None
    note: Annotated[Text, option("TEXT", "Anything worth remembering.")] = None
    pulled_at: Annotated[Text, option("WHEN", "When it was pulled, as 2031-04-09T07:15.", CALLED["pulled_at"])] = None


Everything = Annotated[bool, flag("--all", "List the older ones too.")]
Seed = Annotated[int, option("N", "Number that the random draws start from, 0 or above.")]
Counts = Annotated[
    Text,
    option(
        "|".join(COUNTS),
        "What counts: every cup of the bag, tests too, or the final recipe alone, as where tests are spat out.",
    ),
]
MostMoves = Annotated[int, option("1-3", "Dials that a test may move; with 1, the grind until the time is right.")]
Notes = Annotated[bool, flag("--notes", "Put the notes of the shots in it too.")]
Replace = Annotated[bool, flag("--replace", "Replace the file when it is there already.")]


def first_few(listed: Callable[[int], list[T]], everything: bool) -> tuple[list[T], bool]:
    """The first of a list that takes how many are wanted, -1 for all; and whether there are more."""
    found = listed(-1 if everything else LISTED + 1)
    return (found, False) if everything else (found[:LISTED], len(found) > LISTED)
