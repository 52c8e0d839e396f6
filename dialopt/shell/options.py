"""Options, each declared once: a command's parameter is of the type `Annotated[Text, option(…)]`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, make_dataclass
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from dialopt.trade.bean import Bean
from dialopt.trade.fields import FIELDS, Declared, Field, Fields
from dialopt.trade.kit import Grinder
from dialopt.trade.pairing import Pairing

Text = str | None
T = TypeVar("T")
CALLED = {
    field.name: field.option[0]
    for field in (*FIELDS, *Bean.FIELDS, *Grinder.FIELDS, *Pairing.FIELDS)
    if field.option[0] not in ("", f"--{field.name}")
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


def of_field(kind: type[Declared], name: str) -> Any:
    """The option of a bean's field, or of one of the kit or a pairing."""
    return _option_of(next(field for field in kind.FIELDS if field.name == name))


def _option_of(field: Field) -> Any:
    flag, metavar, help = field.option
    return option(metavar, help, flag)


def _group(name: str, declared: Fields) -> type:
    options = [(it.name, Annotated[Text, _option_of(it)], None) for it in declared if it.option[0]]
    return make_dataclass(name, options, frozen=True, slots=True, kw_only=True)


if TYPE_CHECKING:

    @dataclass(frozen=True, slots=True, kw_only=True)
    class ShotOptions:
        """A shot as it was typed, by the shot's field names."""

    @dataclass(frozen=True, slots=True, kw_only=True)
    class BeanOptions:
        """A bean as it was typed."""

    @dataclass(frozen=True, slots=True, kw_only=True)
    class GrinderOptions:
        """A grinder as it was typed."""

else:
    ShotOptions = _group("ShotOptions", FIELDS)
    BeanOptions = _group("BeanOptions", Bean.FIELDS)
    GrinderOptions = _group("GrinderOptions", Grinder.FIELDS)


Everything = Annotated[bool, flag("--all", "List the older ones too.")]
Seed = Annotated[int, option("N", "Number that the random draws start from, 0 or above.")]
Counts = Annotated[Text, of_field(Pairing, "counts")]
MostMoves = Annotated[
    int | None,
    option(
        "1-4",
        "Dials that a test may move; with 1, the grind until the time is right. Else 1, or 3 where tests are spat out.",
    ),
]
Hold = Annotated[
    Text, option("DIALS", "Dials to leave alone, as dose or dose=18,temp; without a setting, as in the last shot.")
]
Notes = Annotated[bool, flag("--notes", "Put the notes of the shots in it too.")]
Replace = Annotated[bool, flag("--replace", "Replace the file when it is there already.")]


def first_few(listed: Callable[[int], list[T]], everything: bool) -> tuple[list[T], bool]:
    """The first of a list that takes how many are wanted, -1 for all; and whether there are more."""
    found = listed(-1 if everything else LISTED + 1)
    return (found, False) if everything else (found[:LISTED], len(found) > LISTED)
