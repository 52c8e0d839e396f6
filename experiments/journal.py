"""Finished trials on disk, a line each, so that an interrupted study goes on where it stopped."""

from __future__ import annotations

import contextlib
import json
import sys
from pathlib import Path
from typing import Any, TextIO

from experiments.trial import Row

NAME = "unfinished.jsonl"


class Journal:
    """The journal of a study folder; used in a `with` block, it is closed at the end and there for the next time.

    about: what trials must have in common to stand beside each other; it is the first line. A journal about something
    else is set aside as `NAME` + ".old", and said so. rows: those of the trials found.
    """

    def __init__(self, folder: Path, about: dict[str, Any]) -> None:
        self._path = folder / NAME
        self._file: TextIO | None = None
        self._head = [about]
        found = self._read()
        if found and found[0] != about:
            aside = self._path.replace(self._path.with_suffix(".jsonl.old"))
            print(f"An unfinished study of other code or options is set aside as {aside}.", file=sys.stderr)
            found = []
        elif found:
            self._head = []
        self.rows: list[Row] = [row for trial in found[1:] for row in trial]

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, *_: object) -> None:
        if self._file is not None:
            self._file.close()

    def add(self, trial: list[Row]) -> None:
        """Keeps the rows of one trial."""
        if self._file is None:
            self._file = self._path.open("a", encoding="utf-8")
        for entry in (*self._head, trial):
            # The line's end comes first, so that a line that was cut short spoils itself only.
            self._file.write("\n" + json.dumps(entry, default=lambda value: value.item()))
        self._head = []
        self._file.flush()

    def discard(self) -> None:
        """Removes the journal: its rows are kept elsewhere."""
        self.__exit__()
        self._path.unlink(missing_ok=True)

    def _read(self) -> list[Any]:
        """The entries, without a line that was cut short."""
        entries: list[Any] = []
        for line in self._path.read_text(encoding="utf-8").splitlines() if self._path.exists() else []:
            with contextlib.suppress(json.JSONDecodeError):
                entries.append(json.loads(line))
        return entries
