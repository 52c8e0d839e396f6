"""The shots as data inside the page: canonical, hashed, and harmless wherever it is put."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from dialopt.trade.dial import Dial
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

_SHOT_FIELDS = ("yield_g", "time_s", "score", "balance", "fault", "tds_pct", "pulled_at")


def canonical(value: object) -> str:
    """JSON with sorted keys, no blanks, ASCII only: the same value always gives the same text."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)


def shot_values(shots: Sequence[Shot]) -> list[dict[str, Any]]:
    """Every shot as plain values, personal notes left out."""
    return [
        {
            "grind": shot.recipe.grind,
            "dose_g": shot.recipe.dose_g,
            "temp_c": shot.recipe.temp_c,
            **{name: _value(getattr(shot, name)) for name in _SHOT_FIELDS},
        }
        for shot in shots
    ]


def data_hash(shots: Sequence[Shot]) -> str:
    """SHA-256, in hex, of the shots' canonical JSON without notes: the same log, the same hash."""
    return hashlib.sha256(canonical(shot_values(shots)).encode()).hexdigest()


def page_data(pairing: Pairing, shots: Sequence[Shot], *, notes: bool) -> dict[str, Any]:
    """What the page carries for other programs: the pairing, its shots and, where asked for, the notes."""
    values = shot_values(shots)
    if notes:
        for value, shot in zip(values, shots, strict=True):
            value["note"] = shot.note
    bean, grinder = pairing.bean, pairing.grinder
    return {
        "bean": {name: _value(getattr(bean, name)) for name in type(bean).__slots__},
        "grinder": {name: _value(getattr(grinder, name)) for name in type(grinder).__slots__},
        "machine": {"name": pairing.machine.name, "temp_c": _value(pairing.machine.temp_c)},
        "basket": {"name": pairing.basket.name, "dose_g": _value(pairing.basket.dose_g)},
        "ratio": pairing.ratio,
        "drink": pairing.drink,
        "water": pairing.water,
        "shots": values,
    }


def harmless(value: object) -> str:
    """Canonical JSON that can stand inside a script element: nothing in it can end the element or open a comment."""
    return canonical(value).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _value(value: object) -> object:
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, Dial):
        return {"low": value.low, "high": value.high, "step": value.step}
    return value
