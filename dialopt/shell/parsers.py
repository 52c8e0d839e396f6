"""What people type, read: dials, ratios, days, recipes, names, places. Raises BadValue with what would be accepted."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

from dialopt.errors import BadValue, Refused
from dialopt.logbook.typed import check_setting, read_moment, read_number
from dialopt.logbook.whole_file import refuse_nowhere, refuse_taken, stands
from dialopt.report.template import is_page
from dialopt.text import accepted
from dialopt.text.usage import REPLACE
from dialopt.trade.bag_recipe import BagRecipe
from dialopt.trade.dial import Dial
from dialopt.trade.fields import BY_NAME, NUMBER_COLUMNS, RECIPE_COLUMNS, REQUIRED_COLUMNS
from dialopt.trade.freshness import check_roast_day
from dialopt.trade.names import name_key
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

NOTHING = "none"
"""The word that takes an optional value back in an amendment."""

_ALIKE = 0.85
"""Share of letters in common, in order, from which on two names are taken for one; one swap in ten letters is 0.9."""
_SHORT = 2
"""Last words up to that long, or with a figure in them, tell one thing from the next: "lot 7", "bag B"."""


def given(**values: Any) -> dict[str, Any]:
    """Those of the values that were given at all."""
    return {name: value for name, value in values.items() if value is not None}


def shot_values(typed: Mapping[str, str | None], *, may_clear: bool = False) -> dict[str, Any]:
    """The values that were typed, by the shot's field names.

    may_clear: whether the word "none" stands for taking an optional value back.
    """
    values: dict[str, Any] = {}
    for field, text in given(**typed).items():
        if may_clear and field not in REQUIRED_COLUMNS and text.strip().lower() == NOTHING:
            values[field] = None
        elif field == "ratio":
            values[field] = read_ratio(text)
        elif field in NUMBER_COLUMNS:
            values[field] = read_number(field, text)
        else:
            values[field] = read_moment(field, text) if field == "pulled_at" else text
    return values


def read_dial(field: str, text: str) -> Dial:
    """A dial from LOW:HIGH:STEP, or from one number when it can't be turned.

    >>> read_dial("grind", "0:40:0,5")
    Dial(low=0.0, high=40.0, step=0.5)
    """
    wanted = accepted.dial(field)
    parts = [read_number(field, part, wanted) for part in text.split(":")]
    if len(parts) not in (1, 3):
        raise BadValue(field, text, wanted)
    low, high, step = parts if len(parts) == 3 else (parts[0], parts[0], 1.0)
    if low > high:
        raise BadValue(field, text, accepted.turned_dial(field, high, low, step))
    try:
        dial = Dial(low, high, step)
    except BadValue as bad:
        raise BadValue(f"{field} {bad.field}", bad.value, bad.accepted) from None
    if dial.fixed and low < high:
        raise BadValue(f"{field} step", step, accepted.step(low, high))
    return dial


def read_temp_dial(text: str) -> Dial:
    """The dial of the brew water, °C; what looks like °F is told so."""
    dial = read_dial("temp_c", text)
    for end in (dial.low, dial.high):
        check_setting("temp_c", end)
    return dial


def read_ratio(text: str) -> float:
    """Grams in the cup a gram of coffee.

    >>> read_ratio("1:2,5"), read_ratio("2.5")
    (2.5, 2.5)
    """
    return read_number("ratio", re.sub(r"^\s*1\s*:", "", text), accepted.RATIO)


def read_ratio_dial(text: str) -> float | Dial:
    """A ratio, or the span that may be tried, in steps of 0.1 unless another is named.

    >>> read_ratio_dial("1:2"), read_ratio_dial("1:1.5-1:3")
    (2.0, Dial(low=1.5, high=3.0, step=0.1))
    >>> read_ratio_dial("1.8:2.4:0.2")
    Dial(low=1.8, high=2.4, step=0.2)
    """
    if text.count(":") == 2 and "-" not in text:
        return read_dial("ratio", text)
    ends = re.split(r"\s*(?:-|–|to)\s*", text.strip())
    if len(ends) != 2:
        return read_ratio(text)
    low, high = (read_ratio(end) for end in ends)
    return read_dial("ratio", f"{low}:{high}:0.1")


def read_bag_recipe(text: str) -> BagRecipe:
    """The roaster's recipe: a weight is the dose, a second one the cup's; 1:X the ratio, s the time, °C the water.

    Of a range its middle counts.

    >>> read_bag_recipe("18 g → 36 g in 28 s, 93 °C")
    BagRecipe(dose_g=18.0, ratio=2.0, time_s=28.0, temp_c=93.0)
    """
    turned = re.search(r"(\d+(?:[.,]\d+)?)\s*:\s*1(?![\d.,])", text)
    if turned and turned[1] != "1":
        raise BadValue("suggested", text, accepted.coffee_first(turned[1]))
    amount = r"(\d+(?:[.,]\d+)?)"
    found = re.findall(rf"(1\s*:\s*)?{amount}(?:\s*[-–]\s*{amount})?\s*(°?\s*[cf]\b|g\b|s\b)?", text.lower())
    said: dict[str, list[float]] = {}
    for ratio, first, last, unit in found:
        if unit.endswith("f"):
            celsius = (read_number("suggested", first, accepted.BAG_RECIPE) - 32) / 1.8
            raise BadValue("suggested", text, accepted.celsius(first, celsius))
        kind = "ratio" if ratio else {"g": "weight", "s": "time_s"}.get(unit, "temp_c" if unit else "")
        ends = [read_number("suggested", end, accepted.BAG_RECIPE) for end in (first, last or first)]
        said.setdefault(kind, []).append(sum(ends) / 2)
    weights = said.pop("weight", [])
    if not found or "" in said or len(weights) > 2 or any(len(values) > 1 for values in said.values()):
        raise BadValue("suggested", text, accepted.BAG_RECIPE)
    values = {kind: values[0] for kind, values in said.items()}
    if len(weights) == 2:
        if "ratio" in values:
            raise BadValue("suggested", text, accepted.NOT_BOTH)
        if weights[0] == 0:
            raise BadValue("suggested", text, accepted.DOSE_ABOVE_0)
        values["ratio"] = round(weights[1] / weights[0], 2)
    if weights:
        values["dose_g"] = weights[0]
    return BagRecipe(**values)


def read_recipe(field: str, text: str) -> Recipe:
    """A recipe from GRIND:DOSE:TEMP or GRIND:DOSE:TEMP:RATIO, its dose in g and its temperature in °C.

    >>> read_recipe("A", "18:18,2:93:2.1")
    Recipe(grind=18.0, dose_g=18.2, temp_c=93.0, ratio=2.1)
    """
    parts = text.split(":")
    if not len(REQUIRED_COLUMNS) <= len(parts) <= len(RECIPE_COLUMNS):
        raise BadValue(field, text, accepted.RECIPE)
    numbers = (read_number(field, part, accepted.RECIPE) for part in parts)
    return Recipe(**dict(zip(RECIPE_COLUMNS, numbers, strict=False)))


def read_hold(text: str, pairing: Pairing, last: Shot | None) -> dict[str, float]:
    """Dials to leave alone with their settings: as typed, else as in the last shot, else the middle of the dial."""
    names = {BY_NAME[name].option[0].removeprefix("--"): name for name in pairing.dials}
    stands, held = None if last is None else pairing.snap(last.recipe), {}
    for part in filter(None, re.split(r"[\s,]+(?=\D)", text.strip(" ,"))):
        word, _, typed = part.partition("=")
        name = names.get(word.lower().removeprefix("--"))
        if name is None:
            raise BadValue("hold", part, accepted.hold(names))
        dial = pairing.dials[name]
        if typed:
            held[name] = read_ratio(typed) if name == "ratio" else read_number(name, typed, accepted.hold(names))
        else:
            held[name] = dial.middle if stands is None else getattr(stands, name)
    return held


def read_picks(text: str) -> list[int]:
    """The cup picked in each serving, with or without blanks or commas between them.

    >>> read_picks("1, 3 2"), read_picks("132")
    ([1, 3, 2], [1, 3, 2])
    """
    plain = re.sub(r"[\s,;]", "", text)
    if not re.fullmatch(r"[0-9]+", plain):
        raise BadValue("answers", text, accepted.PICKS)
    return [int(sign) for sign in plain]


def read_past_day(field: str, text: str, today: date) -> date:
    """A day up to today."""
    day = _day(field, text)
    if day > today:
        raise BadValue(field, text, accepted.PAST_DAY)
    return day


def read_roast_day(text: str, today: date) -> date:
    """A roasting date, up to today and not over two years back."""
    day = _day("roasted_on", text)
    try:
        return check_roast_day(day, today)
    except BadValue as bad:
        # Day and month swapped may well make a date ahead.
        raise BadValue("roasted_on", text, accepted.roast_day(bad.accepted)) from None


def read_amount(field: str, text: str) -> tuple[float, str]:
    """A number and the unit behind it; ppm where there is none.

    >>> read_amount("hardness", "4,5 °dH"), read_amount("hardness", "80")
    ((4.5, '°dH'), (80.0, 'ppm'))
    """
    parts = re.fullmatch(r"\s*([-+−\d.,]+)\s*(.*?)\s*", text, re.DOTALL)
    if parts is None:
        raise BadValue(field, text, accepted.AMOUNT)
    return read_number(field, parts[1], accepted.AMOUNT), parts[2] or "ppm"


def _day(field: str, text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadValue(field, text, accepted.DAY) from None


def did_you_mean(name: str, known: Iterable[str]) -> str | None:
    """The known name that was likely meant: one letter is wrong, missing or in another's place; None where it is known.

    >>> did_you_mean("harbuor fog", ["Pier Mist", "Harbour Fog"])
    'Harbour Fog'
    """
    here = name_key(name)
    likeness = [(SequenceMatcher(None, here, name_key(one)).ratio(), one) for one in known]
    share, there = max(likeness, default=(0.0, ""))
    if share == 1.0 or share < _ALIKE or _numbered(here) or _numbered(name_key(there)):
        return None
    return there


def _numbered(name: str) -> bool:
    last = name.split()[-1] if name.split() else ""
    return len(last) <= _SHORT or any(sign.isdigit() for sign in last)


def check_place(out: Path, *, example: str = "dialopt-report.html", replace: bool = False) -> None:
    """Raises Refused for a path where no file can be, or one that may not be replaced, before any work is done for it.

    example: a file's name.
    """
    try:
        refuse_taken(out, replace=replace, example=example)
    except Refused as error:
        if stands(out) and not replace:
            error.add_note(REPLACE)
        raise
    refuse_nowhere(out)


def check_page(out: Path, *, replace: bool) -> None:
    """The same for a page, which takes the place of an earlier page unasked."""
    check_place(out, replace=replace or is_page(out))
