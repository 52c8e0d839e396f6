"""The guard that keeps a note from being run as a formula."""

from __future__ import annotations

_SETS_OFF = "=+-@＝＋－＠"  # the last four, full-width, count as the first four in some spreadsheets


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
    return not stripped or text[0] in "'\t\r\n" or stripped[0] in _SETS_OFF
