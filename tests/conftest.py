"""What several test folders need: one kitchen, and shots pulled by hand."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot
from tests.browser import Browser

# How long an example takes says more of what else the machine does than of the code.
settings.register_profile("unhurried", deadline=None)
settings.register_profile("quick", deadline=None, max_examples=20)
settings.register_profile(
    "fuzz", deadline=None, max_examples=10_000, database=None, suppress_health_check=list(HealthCheck)
)


def pytest_configure(config: pytest.Config) -> None:
    """A quick run looks at a fifth of the examples; `--hypothesis-profile fuzz` at a hundred times as many."""
    chosen = config.getoption("--hypothesis-profile", None)
    quick = "not slow" in config.getoption("markexpr", "")
    settings.load_profile(chosen or ("quick" if quick else "unhurried"))


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    opened = Browser()
    yield opened
    opened.driver.quit()


@pytest.fixture
def pairing() -> Pairing:
    return Pairing(
        bean=Bean(name="washed sample"),
        grinder=Grinder(name="bench grinder", grind=Dial(0, 40, 1), finer="down"),
        machine=Machine(name="bench machine", temp_c=Dial(88, 96, 1)),
        basket=Basket(dose_g=Dial(16.5, 20, 0.1)),
    )


@pytest.fixture
def shots() -> list[Shot]:
    """A plausible morning: too fast and sour, then finer, then a little too far."""
    rows = (
        (24, 18.0, 93, 36.0, 17, 5.0, -2),
        (20, 18.0, 93, 36.5, 22, 6.5, -1),
        (17, 18.0, 93, 36.2, 28, 7.5, 0),
        (14, 18.0, 93, 35.8, 36, 6.5, 1),
        (17, 18.0, 92, 36.0, 29, 7.5, 0),
        (18, 18.2, 93, 36.4, 27, 8.0, 0),
    )
    return [
        Shot(
            recipe=Recipe(grind=grind, dose_g=dose, temp_c=temp),
            yield_g=weight,
            time_s=time,
            score=score,
            balance=balance,
        )
        for grind, dose, temp, weight, time, score, balance in rows
    ]
