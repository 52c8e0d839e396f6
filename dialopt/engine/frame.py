"""Shots and recipes as pandas frames: a row each, a column for every field of a shot and its recipe."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dialopt.errors import BadValue
from dialopt.trade.fields import NOTED_COLUMNS, NUMBER_COLUMNS, RECIPE_COLUMNS, REQUIRED_COLUMNS
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

if TYPE_CHECKING:
    import pandas as pd


def to_frame(shots: Sequence[Shot]) -> pd.DataFrame:
    """A row for each shot in order; missing where nothing was noted."""
    import pandas as pd

    rows = [
        {name: getattr(shot.recipe, name) for name in RECIPE_COLUMNS}
        | {name: getattr(shot, name) for name in NOTED_COLUMNS}
        for shot in shots
    ]
    frame = pd.DataFrame(rows, columns=[*RECIPE_COLUMNS, *NOTED_COLUMNS])
    return frame.astype(dict.fromkeys(NUMBER_COLUMNS, float)).astype({"pulled_at": "datetime64[us]"})


def from_frame(frame: pd.DataFrame) -> list[Shot]:
    """The shots that its rows tell, in order. Other columns are left alone; what is missing wasn't noted.

    Raises BadValue, which names the row, counted from 1, for a missing column of the recipe and a value that can't be.
    """
    recipes = recipes_from_frame(frame)
    there = [name for name in NOTED_COLUMNS if name in frame.columns]
    return [
        _row(number, lambda row=row, recipe=recipe: Shot(recipe=recipe, **row))
        for number, (recipe, row) in enumerate(zip(recipes, _values(frame, there), strict=True), start=1)
    ]


def recipes_from_frame(frame: pd.DataFrame) -> list[Recipe]:
    """The recipe of each row. Raises BadValue."""
    if any(name not in frame.columns for name in REQUIRED_COLUMNS):
        raise BadValue("frame", list(frame.columns), f"a frame with the columns {', '.join(REQUIRED_COLUMNS)}")
    rows = _values(frame, [name for name in RECIPE_COLUMNS if name in frame.columns])
    return [_row(number, lambda row=row: Recipe(**row)) for number, row in enumerate(rows, start=1)]


def _values(frame: pd.DataFrame, columns: Sequence[str]) -> list[dict[str, Any]]:
    """Plain Python values by column, None where missing."""
    import pandas as pd

    plain = [
        [None if pd.isna(value) else _plain(value) for value in frame[name].astype(object).tolist()] for name in columns
    ]
    return [dict(zip(columns, row, strict=True)) for row in zip(*plain, strict=True)] if columns else [{}] * len(frame)


def _plain(value: Any) -> Any:
    import pandas as pd

    if isinstance(value, pd.Timestamp):
        return value.to_pydatetime(warn=False)
    return value.item() if hasattr(value, "item") else value


def _row(number: int, make: Any) -> Any:
    try:
        return make()
    except BadValue as bad:
        raise BadValue(f"{bad.field} in row {number}", bad.value, bad.accepted) from None
