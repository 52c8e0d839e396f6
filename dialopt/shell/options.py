"""Options, each declared once: a command's parameter is of the type `Annotated[Text, option(…)]`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, make_dataclass
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from dialopt.trade.fields import FIELDS, Field
from dialopt.trade.pairing import COUNTS
from dialopt.trade.shot import FAULTS

Text = str | None
T = TypeVar("T")
CALLED = {field.name: field.option[0] for field in FIELDS if field.option[0] != f"--{field.name}"} | {
    field: f"--{field.replace('_', '-')}" for field in ("roasted_on", "opened_on", "bag_g", "purge_g", "suggested")
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


def _of_field(field: Field) -> tuple[str, Any, Any]:
    flag, metavar, help = field.option
    help += f": {', '.join(FAULTS)}." if field.kind == "fault" else ""
    return field.name, Annotated[Text, option(metavar, help, flag)], None


if TYPE_CHECKING:

    @dataclass(frozen=True, slots=True, kw_only=True)
    class ShotOptions:
        """A shot as it was typed, by the shot's field names."""

else:
    ShotOptions = make_dataclass(
        "ShotOptions", [_of_field(field) for field in FIELDS], frozen=True, slots=True, kw_only=True
    )


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
