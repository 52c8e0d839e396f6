"""Finished trials on disk, a line each, so that what is interrupted goes on where it stopped."""

from __future__ import annotations

import contextlib
import json
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, TextIO

import pandas as pd

from experiments.trial import Row
from experiments.workers import with_progress

NAME = "unfinished.jsonl"
ABOUT = "about.json"
EARLIER = "earlier"
"""The code of kept rows of which none was written down."""


class Journal:
    """The journal of a folder; used in a `with` block, it is closed at the end and there for the next time.

    about: what trials must have in common to stand beside each other; it is the first line. A journal about something
    else is set aside as `NAME` + ".old", and said so. rows: those of the trials found and added.
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
        self.rows.extend(trial)

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


def measured(
    journal: Journal,
    trials: Sequence[tuple[Any, ...]],
    kept: pd.DataFrame,
    key: Sequence[str],
    run: Callable[[Sequence[Any]], Iterator[list[Row]]],
) -> pd.DataFrame:
    """The kept rows and those of all trials that they and the journal don't hold yet. key: what a trial is told by."""
    done = {tuple(row[name] for name in key) for row in journal.rows}
    done |= set(kept[[*key]].itertuples(index=False, name=None)) if len(kept) else set()
    left = [trial for trial in trials if trial not in done]
    for rows in with_progress(run(left), len(left)):
        journal.add(rows)
    fresh = pd.DataFrame(journal.rows)
    return pd.concat([kept, fresh], ignore_index=True) if len(kept) else fresh


def about(folder: Path) -> dict[str, Any]:
    """What the folder says of its rows; nothing for none."""
    path = folder / ABOUT
    told: dict[str, Any] = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    return told


def codes(before: Mapping[str, str], kept: Iterable[str], fresh: Iterable[str], code: str) -> dict[str, str]:
    """The code by which each method's rows were measured; both, if some of its rows were kept from other code."""
    found = {name: before.get(name, EARLIER) for name in dict.fromkeys(kept)}
    for name in dict.fromkeys(fresh):
        found[name] = code if found.get(name, code) == code else f"{found[name]} and {code}"
    return dict(sorted(found.items()))


def write_rows(path: Path, rows: pd.DataFrame) -> None:
    """Without the hour in its header, the same rows give the same file."""
    rows.to_csv(path, index=False, compression={"method": "gzip", "mtime": 1})


def write_about(folder: Path, told: Mapping[str, Any]) -> None:
    """Written last, so that rows without it are of an interrupted run."""
    (folder / ABOUT).write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")
