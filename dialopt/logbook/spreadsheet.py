"""Shots to a spreadsheet file and back: what is written here reads back as just the same shots.

Of a file that comes in, every bad cell is found and named before anything is logged. The standard library's csv module
reads it rather than pandas: pandas costs half a second to import, guesses types (a note "NA" turns into a number that
isn't), and loses the line numbers that a person needs to mend a file.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from dialopt.errors import BadValue, Refused
from dialopt.logbook.book import Logbook
from dialopt.logbook.store.words import printable
from dialopt.logbook.typed import read_moment, read_number
from dialopt.logbook.whole_file import read_whole, refuse_nowhere, refuse_taken, write_whole
from dialopt.trade.fields import COLUMNS, FIELDS, RECIPE_COLUMNS, REQUIRED_COLUMNS, Field
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

MOST_BYTES = 50_000_000
PROBLEMS_SAID = 5
MOST_PROBLEMS = 1_000
"""Problems after which a file is not looked at any further: of a large one they would fill the memory."""

_ARCHIVE = b"PK\x03\x04"
"""What a ZIP archive begins with (APPNOTE.TXT 4.3.7: memory), as today's spreadsheets are."""
_BLANKS = ' ,;"\t\r\n'
_FORMULA = "=+-@＝＋－＠"
"""Begins a formula; the last four, full-width, count as the first four in some spreadsheets."""


class BadFile(Refused):
    """A spreadsheet file that can't be taken. `problems` holds what is wrong, a phrase each with its line."""

    def __init__(self, name: str, problems: list[str]) -> None:
        self.problems = tuple(problems)
        said = "; ".join(problems[:PROBLEMS_SAID])
        more = len(problems) - PROBLEMS_SAID
        rest = ", and maybe more" * (len(problems) >= MOST_PROBLEMS)
        super().__init__(
            f"{printable(name)} can't be imported, nothing was changed: {said}"
            + (f"; and {more} more problem{'s' * (more > 1)}{rest}." if more > 0 else ".")
        )


def shots_as_csv(shots: Iterable[Shot]) -> str:
    """The shots as comma-separated text: a header, then a line each, with full stops as decimal marks."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for shot in shots:
        writer.writerow(_cell(field, getattr(it, field.name)) for it in (shot.recipe, shot) for field in it.FIELDS)
    return text.getvalue()


def export_csv(shots: Iterable[Shot], path: Path, *, replace: bool = False) -> None:
    """Writes the shots to a file, whole or not at all.

    Raises Refused when it can't be written, or is there already and `replace` is false.
    """
    refuse_taken(path, replace=replace, example="shots.csv")
    refuse_nowhere(path)
    write_whole(path, shots_as_csv(shots).encode())


def import_csv(book: Logbook, pairing_id: int, path: Path) -> list[int]:
    """Logs every row of the file, or none; returns the shots' numbers. Raises NotFound, BadFile, Refused."""
    return book.import_shots(pairing_id, read_csv(path), path.name)


def read_csv(path: Path) -> list[Shot]:
    """The shots in a file, in order. Raises NotFound without the file, BadFile with its problems, Refused."""
    wanted = f"a spreadsheet export (CSV) with the columns {', '.join(COLUMNS)}"
    data = read_whole(path, most_bytes=MOST_BYTES, wanted=wanted)
    if data.startswith(_ARCHIVE):
        raise BadFile(path.name, ["it is a spreadsheet program's own file; save it there as CSV in UTF-8"])
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise BadFile(path.name, [f"line {line} isn't UTF-8 text; save it as CSV in UTF-8"]) from None
    return shots_from_csv(text, path.name)


def shots_from_csv(text: str, name: str) -> list[Shot]:
    """The shots in the text of a file called `name`.

    The separator is a comma, a semicolon or a tab; the decimal mark a full stop or a comma. Raises BadFile.
    """
    text = text.removeprefix("\ufeff")
    lines = _lines(text, _separator(text), name)
    header_line, header = next(lines, (0, []))
    if not header:
        raise BadFile(name, [f"it is empty; it takes a header with {', '.join(COLUMNS)} and a line a shot"])
    columns = [_plain(cell) for cell in header]
    while columns and not columns[-1]:
        columns.pop()  # a spreadsheet's empty columns at the right
    problems = list(islice(_header_problems(header_line, columns), MOST_PROBLEMS))
    if problems:
        raise BadFile(name, problems)
    shots = []
    for line, cells in lines:
        if len(problems) >= MOST_PROBLEMS:
            break
        # Even an empty cell too many is refused: it may be the end of a row that a decimal comma pushed to the right.
        if len(cells) > len(header) or any(cell.strip() for cell in cells[len(columns) :]):
            problems.append(
                f"line {line} has {len(cells)} cells under {len(columns)} headings; a comma as decimal mark takes "
                "quotes, or a semicolon between the cells"
            )
            continue
        values, wrong = _values(dict(zip(columns, cells, strict=False)))
        problems += [f"line {line}, {problem}" for problem in wrong]
        if not wrong:
            shots.append(Shot(recipe=Recipe(**{name: values.pop(name, None) for name in RECIPE_COLUMNS}), **values))
    if problems:
        raise BadFile(name, problems)
    if not shots:
        raise BadFile(name, ["it has a header and no shots; it takes a line a shot"])
    return shots


def _separator(text: str) -> str:
    # The columns are known, so the separator is the one that makes most of them appear in the header.
    first = next((line for line in text.splitlines() if line.strip(_BLANKS)), "")
    return max(",;\t", key=lambda mark: sum(_plain(cell) in COLUMNS for cell in first.replace('"', "").split(mark)))


def _plain(heading: str) -> str:
    return "_".join(heading.lower().split())


def _lines(text: str, separator: str, name: str) -> Iterator[tuple[int, list[str]]]:
    # Each row that isn't blank, with the line it starts on: a quoted note may run over several.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    start = 1
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise BadFile(
                name, [f"line {start} isn't whole ({printable(error)}); see whether a quotation mark is missing"]
            ) from None
        if any(cell.strip() for cell in cells):
            yield start, cells
        start = reader.line_num + 1


def _header_problems(line: int, columns: list[str]) -> Iterator[str]:
    accepted = f"; the columns are {', '.join(COLUMNS)}"
    for column in columns:
        if column not in COLUMNS:
            named = f"the unknown column {column[:60]!r}" if column else "a column without a heading"
            yield f"line {line} has {named}{accepted}"
            accepted = ""  # once is enough
    yield from (
        f"line {line} has the column {column} {columns.count(column)} times; it takes one"
        for column in COLUMNS
        if columns.count(column) > 1
    )
    yield from (
        f"line {line} lacks the column {column}; {', '.join(REQUIRED_COLUMNS)} are required"
        for column in REQUIRED_COLUMNS
        if column not in columns
    )


def _values(row: dict[str, str]) -> tuple[dict[str, Any], list[str]]:
    """The values of a row by field, and what is wrong with it, a phrase for each bad cell."""
    values, wrong = dict[str, Any](), list[str]()
    for field in FIELDS:
        cell = row.get(field.name, "")
        try:
            values[field.name] = field.checked(_read(field, cell))
        except BadValue as bad:
            wrong.append(str(BadValue(field.name, cell if cell.strip() else "", bad.accepted)).removesuffix("."))
    return values, wrong


def _read(field: Field, cell: str) -> Any:
    """What stands in a cell, None for an empty one."""
    if not cell.strip():
        return None
    if field.kind == "number":
        return read_number(field.name, cell)
    return read_moment(field.name, cell) if field.kind == "moment" else unguarded(cell)


def _cell(field: Field, value: Any) -> str:
    if value is None:
        return ""
    if field.kind == "number":
        return repr(value).removesuffix(".0")
    return str(value.isoformat()) if field.kind == "moment" else guarded(value)


def guarded(text: str) -> str:
    """The text with an apostrophe before it where a spreadsheet would take it for a formula; `unguarded` undoes it.

    Text that starts with an apostrophe, or has only blanks, is guarded too: so a cell reads back as just what it was.

    >>> guarded("=1+1"), guarded("sweet"), unguarded("'=1+1"), unguarded("'tis sweet")
    ("'=1+1", 'sweet', '=1+1', "'tis sweet")
    """
    return f"'{text}" if _needs_guard(text) else text


def unguarded(cell: str) -> str:
    """The text that `guarded` made this cell from; other cells are left alone."""
    return cell[1:] if cell.startswith("'") and _needs_guard(cell[1:]) else cell


def _needs_guard(text: str) -> bool:
    stripped = text.lstrip()
    return not stripped or text[0] in "'\t\r\n" or stripped[0] in _FORMULA
