"""Shots to a spreadsheet file. What is written here, `csv_in` reads back as just the same shots."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from pathlib import Path

from dialopt.logbook.csv_columns import guarded
from dialopt.logbook.whole_file import refuse_nowhere, refuse_taken, write_whole
from dialopt.trade.fields import COLUMNS, NUMBER_COLUMNS
from dialopt.trade.shot import Shot


def shots_as_csv(shots: Iterable[Shot]) -> str:
    """The shots as comma-separated text: a header, then a line each, with full stops as decimal marks."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    writer.writerows([_cell(shot, column) for column in COLUMNS] for shot in shots)
    return text.getvalue()


def export_csv(shots: Iterable[Shot], path: Path, *, replace: bool = False) -> None:
    """Writes the shots to a file, whole or not at all.

    Raises Refused when it can't be written, or is there already and `replace` is false.
    """
    refuse_taken(path, replace=replace, example="shots.csv")
    refuse_nowhere(path)
    write_whole(path, shots_as_csv(shots).encode())


def _cell(shot: Shot, column: str) -> str:
    value = getattr(shot if hasattr(shot, column) else shot.recipe, column)
    if value is None:
        return ""
    if column in NUMBER_COLUMNS:
        return repr(value).removesuffix(".0")
    return value.isoformat() if column == "pulled_at" else guarded(value)
