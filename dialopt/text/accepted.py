"""What would be accepted, said to whoever typed something else: "… can't be …; it takes …"."""

from __future__ import annotations

from collections.abc import Iterable

_DIALS = {"grind": "0:40:1", "dose_g": "16.5:20:0.1", "temp_c": "88:96:1", "ratio": "1.5:3:0.1"}
RECIPE = (
    "a recipe as GRIND:DOSE:TEMP or GRIND:DOSE:TEMP:RATIO such as 18:18.2:93, the number of a shot, `best` or `next`"
)
RATIO = "grams in the cup a gram of coffee, as 2 or 1:2"
BAG_RECIPE = "as much as the bag says, each number with its unit, such as 18 g, 1:2, 25-30 s, 93 °C"
NOT_BOTH = f"{BAG_RECIPE}; a ratio or the cup's weight, not both"
DOSE_ABOVE_0 = f"{BAG_RECIPE}, with a dose above 0"
AMOUNT = "a number and its unit, as 4 °dH or 70 ppm"
MG = "mg/L, a plain number such as 12"
PH = "a number from 0 to 14"
PICKS = "the number of the cup picked in each serving, as 1 3 2"
DAY = "year-month-day, as 2031-04-09"
PAST_DAY = f"{DAY}, a day up to today"
A_OR_B = "A or B"


def dial(field: str) -> str:
    """A dial of that field."""
    return f"LOW:HIGH:STEP such as {_DIALS[field]}, or one number for a dial that can't be turned"


def hold(names: Iterable[str]) -> str:
    """Dials that may be left alone."""
    return f"{', '.join(names)}, with commas between them, each with or without its setting, as dose=18"


def turned_dial(field: str, low: float, high: float, step: float) -> str:
    """A dial that was typed with its ends changed round."""
    finer = ", and `--finer` says which way the numbers run finer" if field == "grind" else ""
    return f"LOW first, then HIGH, as {low:g}:{high:g}:{step:g}{finer}"


def step(low: float, high: float) -> str:
    """A step that leaves a dial more than one setting."""
    return f"a step of at most {high - low:g}, from {low:g} to {high:g}"


def celsius(fahrenheit: str, temp_c: float) -> str:
    """A roaster's recipe whose water was given in °F."""
    return f"{BAG_RECIPE}, in °C, not °F; {fahrenheit} °F is {temp_c:.0f} °C"


def coffee_first(ratio: str) -> str:
    """A roaster's recipe whose ratio was turned round."""
    return f"{BAG_RECIPE}; a ratio with the coffee first, 1:{ratio}"


def roast_day(accepted: str) -> str:
    """A roasting date."""
    return f"{DAY}, {accepted}"
