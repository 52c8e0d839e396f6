"""How a command ends, as text for a person or as one JSON object for a program; what of the log stands in that; and a
word to whoever is waiting."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import typer

import dialopt
from dialopt.engine.advice import Advice, Palate
from dialopt.errors import INTERRUPTED, BadValue, DialoptError, LogbookDamaged, LogbookTooNew, WrongUse
from dialopt.logbook.records import BurrSet, Entry, LastPull, Operation, PairingRecord
from dialopt.shell.change import change_data, change_to
from dialopt.shell.options import CALLED
from dialopt.text import usage as words
from dialopt.text.beans import freshness_advice
from dialopt.text.said import Said, sentence
from dialopt.trade.bean import Bean
from dialopt.trade.freshness import freshness_of
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

# The class of all that typer's parser raises. typer itself names only this descendant of it, and has moved the rest.
PARSER_ERROR: type[Exception] = typer.BadParameter.__mro__[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer(Said):
    """The end of a command that worked: what it says, and as data the same for a program.

    lines are for the terminal only. data: in JSON's own types, dates or paths.
    """

    data: Mapping[str, object] = field(default_factory=dict)


def answered(said: Said, **data: object) -> Answer:
    """What was said, with the same for a program."""
    return Answer(did=said.did, next_step=said.next_step, lines=said.lines, data=data)


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """The end of a command that didn't. kind: its name in JSON. field, accepted: for one bad value."""

    status: int
    kind: str
    message: str
    next_step: str | None = None
    field: str | None = None
    accepted: str | None = None


INTERRUPTION = Failure(status=INTERRUPTED, kind="interrupted", message=words.INTERRUPTED, next_step=words.IN_THE_LOG)
"""Ctrl-C. What was confirmed before is saved; of a shot being saved just then, the log tells."""


def shown(command: str | None, end: Answer | Failure, *, as_json: bool) -> str:
    """The end of a command as it is printed: in the envelope, or line by line."""
    if not as_json:
        said = [end.did, *end.lines] if isinstance(end, Answer) else [end.message]
        said += [words.next_line(end.next_step)] if end.next_step else []
        return "".join(clean(line) + "\n" for line in said)
    error = None
    if isinstance(end, Failure):
        error = {name: value for name, value in asdict(end).items() if name != "next_step"}
    whole = {
        "ok": error is None,
        "command": command,
        "did": end.did if isinstance(end, Answer) else None,
        "next_step": end.next_step,
        "data": end.data if isinstance(end, Answer) else {},
        "error": error,
        "dialopt": dialopt.__version__,
    }
    # ASCII only, so that no terminal's encoding can break it; NaN isn't JSON.
    return json.dumps(whole, default=_plain, allow_nan=False) + "\n"


def clean(line: str) -> str:
    """One line without what could steer a terminal: whatever can't be printed becomes a blank.

    >>> clean("harbour" + chr(27) + "[2J fog")
    'harbour [2J fog'
    """
    return "".join(letter if letter.isprintable() else " " for letter in line).rstrip()


def _plain(value: object) -> str:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Path):
        return str(value)
    raise TypeError(f"{type(value).__name__} has no place in an answer")


def failure(error: Exception, command: str | None) -> Failure:
    """The failure that a person or a program can read, from anything that was raised."""
    if isinstance(error, DialoptError):
        bad = error if isinstance(error, BadValue) else None
        way_out = words.RESTORE if isinstance(error, LogbookDamaged | LogbookTooNew) else None
        return Failure(
            status=error.status,
            kind=re.sub(r"(?<!^)(?=[A-Z])", "_", type(error).__name__).lower(),
            message=sentence(_as_typed(str(error), bad)),
            next_step=next(iter(getattr(error, "__notes__", ())), way_out),
            field=bad.field if bad else None,
            accepted=bad.accepted if bad else None,
        )
    if isinstance(error, PARSER_ERROR):
        said = error.format_message() if hasattr(error, "format_message") else str(error)
        return Failure(
            status=WrongUse.status,
            kind="wrong_use",
            message=sentence(words.usage_words(said, command)),
            next_step=words.see_help(command),
            field=getattr(error, "option_name", None),
        )
    if isinstance(error, ValueError) and "null byte" in str(error):
        # Some versions of typer ask the disk for a name that no disk can hold.
        return failure(WrongUse(words.NO_FILE_S_NAME), command)
    return Failure(status=1, kind="fault", message=words.own_fault(error), next_step=words.SHOW_ME)


def _as_typed(said: str, bad: BadValue | None) -> str:
    """The sentence with the field called as it was typed."""
    field = bad.field.split()[0] if bad and bad.field else ""
    return said.replace(field, CALLED[field], 1) if field in CALLED else said


@contextmanager
def working(on: str) -> Iterator[Callable[[str], None]]:
    """Shows on a terminal's standard error what takes a moment, and wipes it at the end; plain blanks do.

    What it hands out adds how far the work has come.
    """
    if sys.stderr is None or not sys.stderr.isatty():
        yield lambda far: None
        return
    widest = 0

    def show(line: str) -> None:
        nonlocal widest
        sys.stderr.write("\r" + line.ljust(widest))
        sys.stderr.flush()
        widest = max(widest, len(line))

    show(f"{on} …")
    try:
        yield lambda far: show(f"{on}: {far} …")
    finally:
        show("")
        sys.stderr.write("\r")
        sys.stderr.flush()


def pairing_data(record: PairingRecord) -> dict[str, Any]:
    """A pairing with its number and its title."""
    return {"id": record.id, "title": record.pairing.title, "shots": record.shots, **asdict(record.pairing)}


def burr_set_data(burrs: BurrSet) -> dict[str, Any]:
    """A burr set with its tally, g."""
    return {**asdict(burrs), "ground_g": burrs.ground_g}


def freshness_data(bean: Bean, today: date | None) -> dict[str, Any] | None:
    """Days off roast, the stage and what it means; None without a roasting date, or with one that lies ahead."""
    fresh = None if today is None else freshness_of(bean, today)
    if fresh is None:
        return None
    return {"days_off_roast": fresh.days, "stage": fresh.stage, "advice": freshness_advice(fresh)}


def recipe_data(pairing: Pairing, recipe: Recipe) -> dict[str, Any]:
    """A recipe with the cup weight to stop at."""
    return {**asdict(recipe), "yield_g": pairing.yield_g(recipe)}


def shot_data(shot: Shot) -> dict[str, Any]:
    """A shot, its recipe's settings beside the rest."""
    fields = asdict(shot)
    return {**fields.pop("recipe"), **fields, "extraction_yield_pct": shot.extraction_yield_pct}


def entry_data(entry: Entry) -> dict[str, Any]:
    """A shot with its number and revision."""
    return {"number": entry.number, "revision": entry.revision, **shot_data(entry.shot)}


def operation_data(operation: Operation) -> dict[str, Any]:
    """What was done, and whether it was taken back."""
    return {
        "kind": operation.kind,
        "source": operation.source,
        "at": operation.at,
        "undone_at": operation.undone_at,
        "shots": [entry_data(entry) for entry in operation.entries],
    }


def advice_data(record: PairingRecord, advice: Advice, last: LastPull | None) -> dict[str, Any]:
    """Advice whole. change: from the shot that went through the grinder last; None with none."""
    pairing, recipe, spot = advice.pairing, advice.next_recipe, advice.sweet_spot
    return {
        "pairing": {"id": record.id, "title": pairing.title, "shots": record.shots},
        "recipe": recipe_data(pairing, recipe),
        "change": change_data(change_to(pairing, recipe, last)),
        "expected": asdict(advice.expected),
        "reason": advice.reason,
        "settled": bool(advice.settled),
        "counts": pairing.counts,
        "most_moves": int(advice.most_moves),
        "hold": dict(advice.hold),
        "sweet_spot": {
            "recipe": recipe_data(pairing, spot.recipe),
            "score": asdict(spot.score),
            "prob_near_optimal": float(spot.prob_near_optimal),
            "edges": list(spot.edges),
            "near_optimal_ridge": spot.near_optimal_ridge
            and [recipe_data(pairing, end) for end in spot.near_optimal_ridge],
            "modes": [recipe_data(pairing, rival) for rival in spot.modes],
        },
        "shots_left": int(advice.shots_left),
        "freshness": freshness_data(pairing.bean, advice.today),
        "finer_today": advice.finer_today and asdict(advice.finer_today),
        "palate": advice.palate and palate_data(pairing, advice.palate),
        "gp_weight": float(advice.gp_weight),
        "seed": advice.seed,
        "version": advice.version,
    }


def palate_data(pairing: Pairing, palate: Palate) -> dict[str, Any]:
    """The palate; noise and offset with their 90 % intervals."""
    return {**asdict(palate), "repeat": palate.repeat and recipe_data(pairing, palate.repeat)}
