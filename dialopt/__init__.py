"""Dial in espresso in fewer shots, and know how sure you are.

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
    "FAULTS": "dialopt.trade.shot",
    "Advice": "dialopt.decisions.advice",
    "Comparison": "dialopt.decisions.advice",
    "Palate": "dialopt.decisions.advice",
    "SweetSpot": "dialopt.decisions.advice",
    "Predictions": "dialopt.decisions.advice",
    "advise": "dialopt.decisions.advise",
    "DialoptError": "dialopt.errors",
    "BadValue": "dialopt.errors",
    "NotFound": "dialopt.errors",
    "Refused": "dialopt.errors",
    "WrongUse": "dialopt.errors",
    "LogbookError": "dialopt.errors",
}

__all__ = [
    "FAULTS",
    "Advice",
    "BadValue",
    "BagRecipe",
    "Basket",
    "Bean",
    "Comparison",
    "Dial",
    "DialoptError",
    "Grinder",
    "LogbookError",
    "Machine",
    "NotFound",
    "Pairing",
    "Palate",
    "Predictions",
    "Recipe",
    "Refused",
    "Shot",
    "SweetSpot",
    "WrongUse",
    "__version__",
    "advise",
]

if TYPE_CHECKING:
    from dialopt.decisions.advice import Advice, Comparison, Palate, Predictions, SweetSpot
    from dialopt.decisions.advise import advise
    from dialopt.errors import BadValue, DialoptError, LogbookError, NotFound, Refused, WrongUse
    from dialopt.trade.bag_recipe import BagRecipe
    from dialopt.trade.bean import Bean
    from dialopt.trade.dial import Dial
    from dialopt.trade.kit import Basket, Grinder, Machine
    from dialopt.trade.pairing import Pairing
    from dialopt.trade.recipe import Recipe
    from dialopt.trade.shot import FAULTS, Shot


def __getattr__(name: str) -> object:
    if name not in _HOME:
        raise AttributeError(f"module 'dialopt' has no attribute {name!r}")
    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
