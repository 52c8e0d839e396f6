"""Things of the trade as plain values, and back: what a report carries, a share file holds and a table keeps."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, fields
from datetime import date, datetime
from typing import Any, TypeVar

from dialopt.errors import BadValue, Refused
from dialopt.trade.dial import Dial
from dialopt.trade.fields import FIELDS, NOTED_FIELDS, Declared, Field
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

T = TypeVar("T")
MOST_SHOTS = 10_000
_WHOLE = "A pairing with its shots takes bean, grinder, machine, basket, ratio, drink and shots, each with all it needs"
_LATER = tuple(field.name for field in FIELDS if field.context or field.name == "ratio")
_KEEPERS_OWN = ("taster", "counts", "bags_to_come")
"""What of a pairing is the business of whoever keeps the logbook, and goes to nobody."""
_DIAL = ("low", "high", "step")


def plain_values(thing: Declared) -> dict[str, Any]:
    """Every field of a thing by name, as JSON takes it."""
    return {field.name: _plain(field, getattr(thing, field.name)) for field in thing.FIELDS}


def thing_from(kind: type[T], place: str, values: object) -> T:
    """The thing that the plain values tell, names that it hasn't passed over. place: what it is, for an error.

    Raises BadValue naming what can't be taken, Refused, KeyError for a field that it can't do without.
    """
    given = _mapping(place, values)
    needed = {it.name for it in fields(kind) if it.default is MISSING}  # type: ignore[arg-type]  # all are dataclasses
    declared: Sequence[Field] = kind.FIELDS  # type: ignore[attr-defined]  # of declared fields
    return kind(**{it.name: _read(it, given[it.name]) for it in declared if it.name in needed or it.name in given})


def parts_of(field: Field) -> tuple[str, ...]:
    """The names of what makes up a dial or another thing; empty for a plain value."""
    return _DIAL if field.kind == "dial" else tuple(it.name for it in getattr(field.part, "FIELDS", ()))


def canonical(value: object) -> str:
    """JSON with sorted keys, no blanks, ASCII only: the same value always gives the same text."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)


def data_hash(shots: Sequence[Shot]) -> str:
    """SHA-256, in hex, of the shots' canonical JSON without notes: the same log, the same hash."""
    return hashlib.sha256(canonical(shot_values(shots)).encode()).hexdigest()


def shot_values(shots: Sequence[Shot], *, notes: bool = False) -> list[dict[str, Any]]:
    """Every shot as plain values; personal notes only where asked for."""
    return [
        {
            name: value
            for name, value in (plain_values(shot.recipe) | plain_values(shot)).items()
            # Named only where noted, so that a log without it keeps the hash from before there was such a field.
            if (notes or name != "note") and (value is not None or name not in _LATER)
        }
        for shot in shots
    ]


def shot_from(place: str, values: object) -> Shot:
    """The shot that such values tell. Raises as `thing_from`."""
    given = _mapping(place, values)
    recipe = thing_from(Recipe, place, given)
    return Shot(recipe=recipe, **{field.name: _read(field, given.get(field.name)) for field in NOTED_FIELDS})


def case_values(pairing: Pairing, shots: Sequence[Shot], *, notes: bool) -> dict[str, Any]:
    """The pairing and its shots."""
    sent = {name: value for name, value in plain_values(pairing).items() if name not in _KEEPERS_OWN}
    return {**sent, "shots": shot_values(shots, notes=notes)}


def case_from_values(values: object) -> tuple[Pairing, list[Shot]]:
    """What `case_values` was made of; notes are read where there are any, unknown names passed over.

    Raises BadValue naming what can't be taken, Refused when it isn't a pairing with shots at all.
    """
    try:
        case = _mapping("all of it", values)
        sent = {name: value for name, value in case.items() if name not in _KEEPERS_OWN}
        pairing, shots, _ = thing_from(Pairing, "all of it", sent), case["shots"], (case["ratio"], case["drink"])
        if not isinstance(shots, list) or len(shots) > MOST_SHOTS:
            raise Refused(f"The shots aren't a list, or are more than {MOST_SHOTS:,}.")
        return pairing, [shot_from(f"shot {number}", shot) for number, shot in enumerate(shots, start=1)]
    except KeyError as missing:
        raise Refused(f"{_WHOLE}; here {missing.args[0]} is missing.") from None


def _plain(field: Field, value: Any) -> Any:
    if value is None:
        return None
    if isinstance(value, Dial):
        return {part: getattr(value, part) for part in _DIAL}
    if field.kind == "part":
        return plain_values(value)
    return value.isoformat() if field.kind in ("day", "moment") else value


def _read(field: Field, value: Any) -> Any:
    if value is None:
        return None
    if field.kind == "dial" or (field.kind == "number_or_dial" and isinstance(value, dict)):
        dial = _mapping("a dial", value)
        return Dial(*(dial[part] for part in _DIAL))
    if field.part is not None:
        return thing_from(field.part, field.name, value)
    if field.kind not in ("day", "moment"):
        return value
    try:
        return (date if field.kind == "day" else datetime).fromisoformat(value)
    except (TypeError, ValueError):
        accepted = "year-month-day, as 2031-04-09" if field.kind == "day" else "a moment such as 2031-04-09T08:15:00"
        raise BadValue(field.name, value, accepted) from None


def _mapping(place: str, value: object) -> Mapping[str, Any]:
    if not isinstance(value, dict):
        raise Refused(f"{_WHOLE}; here {place} is no set of named values.")
    return value
