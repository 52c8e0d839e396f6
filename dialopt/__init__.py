"""Dial in espresso in fewer shots, and know how sure you are.

A `Pairing` says what is on the bench: a `Bean`, and the `Dial`s of a `Grinder`, a `Machine` and a `Basket`. A `Shot` is
a `Recipe` and what came of it; one that went wrong names one of `FAULTS`, which also says what each still tells.
`advise` reads both and returns `Advice`: the next recipe, the `SweetSpot` so far, and how sure either is.

All values but a `Dial(low, high, step)` are made with keywords. They hold their units in their names and can't be
changed. One that can't be right raises `BadValue`, which names the field, the value and what would be accepted.

>>> import dialopt as d
>>> d.Recipe(grind=18, dose_g=18, temp_c=200)
Traceback (most recent call last):
dialopt.errors.BadValue: temp_c can't be 200; it takes a number from 20 to 110 °C (it looks like °F).

Names are loaded when first used, so that `import dialopt` stays quick.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

__version__ = "0.1.0"

_HOME = {
    "Dial": "dialopt.trade.dial",
    "Grinder": "dialopt.trade.kit",
    "Machine": "dialopt.trade.kit",
    "Basket": "dialopt.trade.kit",
    "Bean": "dialopt.trade.bean",
    "BagRecipe": "dialopt.trade.bag_recipe",
    "Pairing": "dialopt.trade.pairing",
    "Recipe": "dialopt.trade.recipe",
    "Shot": "dialopt.trade.shot",
    "Verdict": "dialopt.trade.verdict",
    "FAULTS": "dialopt.trade.shot",
    "Advice": "dialopt.engine.advice",
    "Comparison": "dialopt.engine.advice",
    "Palate": "dialopt.engine.advice",
    "SweetSpot": "dialopt.engine.advice",
    "Predictions": "dialopt.engine.advice",
    "PredictedOutcome": "dialopt.engine.advice",
    "Estimate": "dialopt.engine.advice",
    "advise": "dialopt.engine.advise",
    "Session": "dialopt.engine.session",
    "Config": "dialopt.engine.config",
    "Logbook": "dialopt.logbook.book",
    "DialoptError": "dialopt.errors",
    "BadValue": "dialopt.errors",
    "NotFound": "dialopt.errors",
    "Refused": "dialopt.errors",
    "WrongUse": "dialopt.errors",
    "LogbookError": "dialopt.errors",
}

__all__ = [  # noqa: RUF022 - in the order in which the documentation reads
    "Pairing",
    "Bean",
    "BagRecipe",
    "Grinder",
    "Machine",
    "Basket",
    "Dial",
    "Shot",
    "Recipe",
    "Verdict",
    "FAULTS",
    "advise",
    "Session",
    "Config",
    "Advice",
    "SweetSpot",
    "Predictions",
    "PredictedOutcome",
    "Estimate",
    "Comparison",
    "Palate",
    "Logbook",
    "DialoptError",
    "WrongUse",
    "NotFound",
    "Refused",
    "BadValue",
    "LogbookError",
    "__version__",
]

if TYPE_CHECKING:
    from dialopt.engine.advice import Advice, Comparison, Estimate, Palate, PredictedOutcome, Predictions, SweetSpot
    from dialopt.engine.advise import advise
    from dialopt.engine.config import Config
    from dialopt.engine.session import Session
    from dialopt.errors import BadValue, DialoptError, LogbookError, NotFound, Refused, WrongUse
    from dialopt.logbook.book import Logbook
    from dialopt.trade.bag_recipe import BagRecipe
    from dialopt.trade.bean import Bean
    from dialopt.trade.dial import Dial
    from dialopt.trade.kit import Basket, Grinder, Machine
    from dialopt.trade.pairing import Pairing
    from dialopt.trade.recipe import Recipe
    from dialopt.trade.shot import FAULTS, Shot
    from dialopt.trade.verdict import Verdict


def __getattr__(name: str) -> object:
    if name not in _HOME:
        raise AttributeError(f"module 'dialopt' has no attribute {name!r}")
    found = globals()[name] = getattr(import_module(_HOME[name]), name)
    return found


def __dir__() -> list[str]:
    return sorted(__all__)
