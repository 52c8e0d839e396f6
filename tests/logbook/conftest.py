from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from dialopt.logbook.book import Logbook
from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial
from dialopt.trade.kit import Basket, Grinder, Machine
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot


class Clock:
    """A clock that a test turns itself: a minute goes by with each look."""

    def __init__(self) -> None:
        self.time = datetime(2031, 4, 9, 7, 15)

    def __call__(self) -> datetime:
        self.time += timedelta(minutes=1)
        return self.time


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home"


@pytest.fixture
def book(home: Path, clock: Clock) -> Iterator[Logbook]:
    with Logbook.open(home, now=clock, wait_s=0.2) as opened:
        yield opened


@pytest.fixture
def a_pairing() -> Callable[..., Pairing]:
    def build(
        bean: str = "harbour fog", grinder: str = "bench grinder", burrs: str = "set 1", **rest: object
    ) -> Pairing:
        values: dict[str, object] = {
            "bean": Bean(name=bean),
            "grinder": Grinder(name=grinder, grind=Dial(0, 40, 1), burrs=burrs),
            "machine": Machine(name="bench machine", temp_c=Dial(88, 96, 1)),
            "basket": Basket(dose_g=Dial(16.5, 20, 0.1)),
            **rest,
        }
        return Pairing(**values)  # type: ignore[arg-type]  # each test passes what a Pairing takes

    return build


@pytest.fixture
def a_shot() -> Callable[..., Shot]:
    def build(grind: float = 18, dose_g: float = 18, temp_c: float = 93, **rest: object) -> Shot:
        return Shot(recipe=Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c), **rest)  # type: ignore[arg-type]

    return build
