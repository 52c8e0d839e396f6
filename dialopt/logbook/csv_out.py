"""Shots to a spreadsheet file. What is written here, `csv_in` reads back as just the same shots."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from dialopt.errors import Refused
from dialopt.logbook.csv_columns import COLUMNS, NUMBER_COLUMNS, guarded
from dialopt.logbook.store.words import printable
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
    if path.is_dir():
        raise Refused(f"{printable(path)} is a folder; name a file in it, such as {printable(path / 'shots.csv')}.")
    if path.exists() and not (replace and path.is_file()):
        raise Refused(f"{printable(path)} exists already; name a new file, or ask for it to be replaced.")
    half = path.with_name(f".{path.name}-{os.getpid()}.half")
    try:
        with half.open("w", encoding="utf-8", newline="") as handle:
            handle.write(shots_as_csv(shots))
            handle.flush()
            os.fsync(handle.fileno())
        half.replace(path)
    except OSError as error:
        with suppress(OSError):
            half.unlink(missing_ok=True)
        raise Refused(
            f"{printable(path)} can't be written: {error.strerror or error}. Name a file in a folder you may write to."
        ) from error


def _cell(shot: Shot, column: str) -> str:
    value = getattr(shot if hasattr(shot, column) else shot.recipe, column)
    if value is None:
        return ""
    if column in NUMBER_COLUMNS:
        return repr(value).removesuffix(".0")
    return value.isoformat() if column == "pulled_at" else guarded(value)
