"""The invented bag on the invented bench, and where its shots lie."""

from __future__ import annotations

from contextlib import AbstractContextManager
from datetime import date, datetime
from importlib.resources import as_file, files
from pathlib import Path

from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial
from dialopt.trade.kit import Basket, Grinder, Machine
from dialopt.trade.pairing import Pairing

SHOTS = "nobodys_hill.csv"
LOOKED_AT = datetime(2024, 3, 11, 9, 0)
"""When the demo takes itself to run: the morning after the last shot."""


def pairing() -> Pairing:
    """The bag and the bench."""
    return Pairing(
        bean=Bean(
            name="Nobody's Hill (invented)",
            roaster="Nobody & Daughters (invented)",
            process="washed",
            roast="medium",
            roasted_on=date(2024, 2, 28),
            bag_g=250,
        ),
        grinder=Grinder(name="demo grinder", grind=Dial(0, 40, 1), finer="down"),
        machine=Machine(name="demo machine", temp_c=Dial(88, 96, 1)),
        basket=Basket(name="demo basket", dose_g=Dial(16, 20, 0.1)),
    )


def shots_file() -> AbstractContextManager[Path]:
    """The shots as a CSV file, for as long as the context lasts."""
    return as_file(files("dialopt.demo") / SHOTS)
