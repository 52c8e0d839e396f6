"""The options that several commands share, and what they mean for a shot."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Annotated, Any, TypeVar

import typer

from dialopt.logbook.csv_columns import NUMBER_COLUMNS, RECIPE_COLUMNS
from dialopt.logbook.typed import read_moment, read_number
from dialopt.trade.pairing import COUNTS
from dialopt.trade.shot import FAULTS

Grind = Annotated[str | None, typer.Option("--grind", metavar="SETTING", help="Grind, in the grinder's own numbers.")]
Dose = Annotated[str | None, typer.Option("--dose", metavar="G", help="Dry coffee in the basket, g.")]
Temp = Annotated[str | None, typer.Option("--temp", metavar="°C", help="Brew water, °C.")]
Yield = Annotated[str | None, typer.Option("--yield", metavar="G", help="Beverage in the cup, g.")]
Time = Annotated[str | None, typer.Option("--time", metavar="S", help="Pump on to cup away, s.")]
Score = Annotated[str | None, typer.Option("--score", metavar="0-10", help="How well you like it.")]
Balance = Annotated[
    str | None, typer.Option("--balance", metavar="-3..3", help="-3 very sour, 0 balanced, 3 very bitter.")
]
Fault = Annotated[
    str | None,
    typer.Option("--fault", metavar="KIND", help=f"What went wrong, if anything: {', '.join(FAULTS)}."),
]
Tds = Annotated[str | None, typer.Option("--tds", metavar="%", help="Strength: dissolved solids, % of the beverage.")]
Note = Annotated[str | None, typer.Option("--note", metavar="TEXT", help="Anything worth remembering.")]
At = Annotated[str | None, typer.Option("--at", metavar="WHEN", help="When it was pulled, as 2031-04-09T07:15.")]
Everything = Annotated[bool, typer.Option("--all", help="List the older ones too.")]
Seed = Annotated[int, typer.Option("--seed", metavar="N", help="Number that the random draws start from, 0 or above.")]
Counts = Annotated[
    str | None,
    typer.Option(
        "--counts",
        metavar="|".join(COUNTS),
        help="What counts: every cup of the bag, tests too, or the final recipe alone, as where tests are spat out.",
    ),
]
MostMoves = Annotated[
    int,
    typer.Option(
        "--most-moves", metavar="1-3", help="Dials that a test may move; with 1, the grind until the time is right."
    ),
]

LISTED = 20
"""How many of a kind are listed unless --all is given: what a person looks for is nearly always among the latest."""
NOTHING = "none"
"""The word that takes an optional value back in an amendment."""

T = TypeVar("T")


def first_few(listed: Callable[[int], list[T]], everything: bool) -> tuple[list[T], bool]:
    """The first of a list that takes how many are wanted, -1 for all; and whether there are more."""
    found = listed(-1 if everything else LISTED + 1)
    return (found, False) if everything else (found[:LISTED], len(found) > LISTED)


def fields(
    grind: str | None,
    dose: str | None,
    temp: str | None,
    yield_: str | None,
    time: str | None,
    score: str | None,
    balance: str | None,
    fault: str | None,
    tds: str | None,
    note: str | None,
    at: str | None,
) -> dict[str, str | None]:
    """The options as they came, by the shot's field names."""
    settings = {"grind": grind, "dose_g": dose, "temp_c": temp}
    cup = {"yield_g": yield_, "time_s": time, "score": score, "balance": balance, "tds_pct": tds}
    return {**settings, **cup, "fault": fault, "note": note, "pulled_at": at}


def shot_values(given: Mapping[str, str | None], *, may_clear: bool = False) -> dict[str, Any]:
    """The values of the options that were given, by the shot's field names.

    may_clear: whether the word "none" stands for taking an optional value back. Raises BadValue.
    """
    values: dict[str, Any] = {}
    for field, text in given.items():
        if text is None:
            continue
        if may_clear and field not in RECIPE_COLUMNS and text.strip().lower() == NOTHING:
            values[field] = None
        else:
            values[field] = _value(field, text)
    return values


def _value(field: str, text: str) -> float | str | datetime:
    if field in NUMBER_COLUMNS:
        return read_number(field, text)
    return read_moment(field, text) if field == "pulled_at" else text
