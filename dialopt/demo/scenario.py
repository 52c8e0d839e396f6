"""The invented bags on the invented bench, and where their shots lie."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import replace
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
LOOKED_AT_ALL = datetime(2024, 3, 16, 9, 0)
"""The same for all pairings side by side."""


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


def pairings() -> dict[str, Pairing]:
    """What came of that bag, by the file of its shots, in order of time.

    First the bag itself; its last shots after new burrs; another bag on them; the next bag of the first bean on another
    grinder.
    """
    first = pairing()
    new_burrs = replace(first, grinder=replace(first.grinder, burrs="set 2"))
    another = Bean(
        name="Field of Anyone (invented)",
        roaster="Nobody & Daughters (invented)",
        process="natural",
        roast="light",
        roasted_on=date(2024, 3, 2),
        bag_g=250,
    )
    return {
        SHOTS: first,
        "nobodys_hill_new_burrs.csv": new_burrs,
        "field_of_anyone.csv": replace(new_burrs, bean=another),
        "nobodys_hill_by_hand.csv": replace(
            first,
            bean=replace(first.bean, roasted_on=date(2024, 3, 6)),
            grinder=Grinder(name="demo hand grinder", grind=Dial(10, 60, 1), finer="down", burrs="as bought"),
        ),
    }


def shots_file(name: str = SHOTS) -> AbstractContextManager[Path]:
    """The shots as a CSV file, for as long as the context lasts."""
    return as_file(files("dialopt.demo") / name)
