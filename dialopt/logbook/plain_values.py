"""A pairing and its shots as plain values, and back: what a report carries and a share file holds."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import MISSING, asdict, fields
from datetime import date, datetime
from typing import Any

from dialopt.errors import BadValue, Refused
from dialopt.trade.bag_recipe import BagRecipe
from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial
from dialopt.trade.fields import NOTED_COLUMNS, NOTED_FIELDS, RECIPE_COLUMNS
from dialopt.trade.kit import Basket, Grinder, Machine
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

MOST_SHOTS = 10_000
_WHOLE = "A pairing with its shots takes bean, grinder, machine, basket, ratio, drink and shots, each with all it needs"
_CONTEXT = tuple(field.name for field in NOTED_FIELDS if field.context)
_SHOT_FIELDS = tuple(name for name in NOTED_COLUMNS if name not in ("note", *_CONTEXT))


def canonical(value: object) -> str:
    """JSON with sorted keys, no blanks, ASCII only: the same value always gives the same text."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)


def data_hash(shots: Sequence[Shot]) -> str:
    """SHA-256, in hex, of the shots' canonical JSON without notes: the same log, the same hash."""
    return hashlib.sha256(canonical(shot_values(shots)).encode()).hexdigest()


def shot_values(shots: Sequence[Shot], *, notes: bool = False) -> list[dict[str, Any]]:
    """Every shot as plain values; personal notes only where asked for."""
    return [
        {name: getattr(shot.recipe, name) for name in RECIPE_COLUMNS}
        | {name: _plain(getattr(shot, name)) for name in _SHOT_FIELDS}
        # Named only where noted, so that a log without it keeps the hash that it had before there was such a field.
        | {name: value for name in _CONTEXT if (value := getattr(shot, name)) is not None}
        | ({"note": shot.note} if notes else {})
        for shot in shots
    ]


def case_values(pairing: Pairing, shots: Sequence[Shot], *, notes: bool) -> dict[str, Any]:
    """The pairing and its shots."""
    return {
        "bean": _fields(pairing.bean),
        "grinder": _fields(pairing.grinder),
        "machine": _fields(pairing.machine),
        "basket": _fields(pairing.basket),
        "ratio": pairing.ratio,
        "drink": pairing.drink,
        "water": pairing.water,
        "shots": shot_values(shots, notes=notes),
    }


def case_from_values(values: object) -> tuple[Pairing, list[Shot]]:
    """What `case_values` was made of; notes are read where there are any, unknown names passed over.

    Raises BadValue naming what can't be taken, Refused when it isn't a pairing with shots at all.
    """
    try:
        case = _mapping("all of it", values)
        pairing = Pairing(
            bean=Bean(
                **_known(
                    Bean,
                    "bean",
                    case["bean"],
                    roasted_on=_day("roasted_on"),
                    opened_on=_day("opened_on"),
                    suggested=_bag_recipe,
                )
            ),
            grinder=Grinder(**_known(Grinder, "grinder", case["grinder"], grind=_dial)),
            machine=Machine(**_known(Machine, "machine", case["machine"], temp_c=_dial)),
            basket=Basket(**_known(Basket, "basket", case["basket"], dose_g=_dial)),
            ratio=case["ratio"],
            drink=case["drink"],
            water=case.get("water"),
        )
        shots = case["shots"]
        if not isinstance(shots, list) or len(shots) > MOST_SHOTS:
            raise Refused(f"The shots aren't a list, or are more than {MOST_SHOTS:,}.")
        return pairing, [_shot(f"shot {number}", shot) for number, shot in enumerate(shots, start=1)]
    except KeyError as missing:
        raise Refused(f"{_WHOLE}; here {missing.args[0]} is missing.") from None


def _shot(place: str, value: object) -> Shot:
    given = _mapping(place, value)
    values = {name: given.get(name) for name in NOTED_COLUMNS}
    if values["pulled_at"] is not None:
        values["pulled_at"] = _moment(values["pulled_at"])
    return Shot(recipe=Recipe(**{name: given[name] for name in RECIPE_COLUMNS}), **values)


def _fields(thing: Bean | Grinder | Machine | Basket) -> dict[str, Any]:
    return {field.name: _plain(getattr(thing, field.name)) for field in fields(thing)}


def _plain(value: object) -> object:
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, Dial):
        return {"low": value.low, "high": value.high, "step": value.step}
    return asdict(value) if isinstance(value, BagRecipe) else value


def _known(kind: type[Any], place: str, values: object, **readers: Any) -> dict[str, Any]:
    """The values of the fields that such a thing has. Raises KeyError for one that it can't do without."""
    given = _mapping(place, values)
    known = {}
    for field in fields(kind):
        needed = field.default is MISSING and field.default_factory is MISSING
        if needed or field.name in given:
            value = given[field.name]
            known[field.name] = readers[field.name](value) if field.name in readers and value is not None else value
    return known


def _mapping(place: str, value: object) -> Mapping[str, Any]:
    if not isinstance(value, dict):
        raise Refused(f"{_WHOLE}; here {place} is no set of named values.")
    return value


def _dial(value: object) -> Dial:
    values = _mapping("a dial", value)
    return Dial(values["low"], values["high"], values["step"])


def _bag_recipe(value: object) -> BagRecipe:
    return BagRecipe(**_known(BagRecipe, "suggested", value))


def _day(field: str) -> Callable[[object], date]:
    def read(value: object) -> date:
        try:
            return date.fromisoformat(value)  # type: ignore[arg-type]  # anything else is a TypeError
        except (TypeError, ValueError):
            raise BadValue(field, value, "year-month-day, as 2031-04-09") from None

    return read


def _moment(value: object) -> datetime:
    try:
        return datetime.fromisoformat(value)  # type: ignore[arg-type]  # as above
    except (TypeError, ValueError):
        raise BadValue("pulled_at", value, "a moment such as 2031-04-09T08:15:00") from None
