from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

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
def number(book: Logbook) -> int:
    """A pairing that was saved."""
    return book.save_pairing(pairing_of())


def pairing_of(bean: str = "harbour fog", grinder: str = "bench grinder", burrs: str = "set 1", **rest: Any) -> Pairing:
    values = {
        "bean": Bean(name=bean),
        "grinder": Grinder(name=grinder, grind=Dial(0, 40, 1), burrs=burrs),
        "machine": Machine(name="bench machine", temp_c=Dial(88, 96, 1)),
        "basket": Basket(dose_g=Dial(16.5, 20, 0.1)),
        **rest,
    }
    return Pairing(**values)


def shot_of(grind: float = 18, dose_g: float = 18, temp_c: float = 93, **rest: Any) -> Shot:
    return Shot(recipe=Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c), **rest)


@pytest.fixture
def a_pairing() -> Callable[..., Pairing]:
    return pairing_of


@pytest.fixture
def a_shot() -> Callable[..., Shot]:
    return shot_of


def spoil(path: Path, *places: int, size: int = 40) -> bytes:
    """Overwrites a file there; returns what it is then."""
    data = bytearray(path.read_bytes())
    for place in places:
        data[place : place + size] = b"\xa5" * size
    path.write_bytes(data)
    return bytes(data)
