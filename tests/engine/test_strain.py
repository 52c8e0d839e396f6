"""Logs and dials that nobody would wish for: the advice stays finite, on the dials, of one mind and in time."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from functools import cache

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from dialopt import FAULTS, Dial, Pairing, Shot, advise
from tests.engine.strain import DOSES, GRINDS, RATIOS, TEMPS, advised, at_share, bench, cases, check

pytestmark = pytest.mark.slow

PLAIN = bench()


def pulled(pairing: Pairing, count: int, seed: int = 1, **over: object) -> list[Shot]:
    """Shots all over the dials of somebody who likes them a little finer than the middle."""
    rng = np.random.default_rng(seed)
    shots = []
    for grind, dose_g, temp_c in rng.random((count, 3)):
        liked = 8.0 - 20.0 * (grind - 0.6) ** 2 + rng.normal(0.0, 0.6)
        noted: dict[str, object] = {
            "yield_g": 36.0,
            "time_s": 15.0 + 25.0 * grind,
            "score": float(np.clip(np.round(2 * liked) / 2, 0, 10)),
            "balance": float(np.clip(np.round(6 * (grind - 0.6)), -3, 3)),
        }
        shots.append(Shot(recipe=at_share(pairing, grind, dose_g, temp_c), **noted | over))  # type: ignore[arg-type]
    return shots


def alike(count: int, **noted: object) -> list[Shot]:
    return [Shot(recipe=at_share(PLAIN, 0.5), **noted)] * count  # type: ignore[arg-type]


def by_turns(count: int, *noted: dict[str, float]) -> list[Shot]:
    """One recipe, noted otherwise each time."""
    shots = [Shot(recipe=at_share(PLAIN, 0.5), **one) for one in noted]  # type: ignore[arg-type]
    return [shots[number % len(shots)] for number in range(count)]


def far_off(count: int) -> list[Shot]:
    """Shots that are farther and farther off the dials, liked and loathed by turns."""
    places = zip(np.linspace(-1, 2, count), np.linspace(-5, 12, count), np.linspace(-9, 3, count), strict=True)
    return [
        Shot(recipe=at_share(PLAIN, *place), time_s=27, score=10 * (number % 2)) for number, place in enumerate(places)
    ]


LOGS: dict[str, Callable[[], list[Shot]]] = {
    "one shot": lambda: alike(1, time_s=27, score=7, balance=0),
    "identical shots": lambda: alike(12, time_s=27, yield_g=36, score=7, balance=0),
    "all scores equal": lambda: pulled(PLAIN, 12, score=6.0),
    "all scores 0": lambda: pulled(PLAIN, 12, score=0.0),
    "all scores 10": lambda: pulled(PLAIN, 12, score=10.0),
    "loved and loathed by turns": lambda: by_turns(12, {"score": 0, "balance": -3}, {"score": 10, "balance": 3}),
    "notes against the shot time": lambda: [
        Shot(recipe=at_share(PLAIN, share), time_s=15 + 25 * share, score=7, balance=3 if share < 0.5 else -3)
        for share in np.linspace(0, 1, 12)
    ],
    "all times 1 s": lambda: pulled(PLAIN, 12, time_s=1.0),
    "all times 600 s": lambda: pulled(PLAIN, 12, time_s=600.0),
    "1 s and 600 s by turns": lambda: by_turns(12, {"time_s": 1, "score": 5}, {"time_s": 600, "score": 5}),
    "strength of syrup": lambda: pulled(PLAIN, 12, tds_pct=30.0),
    "strength of water": lambda: pulled(PLAIN, 12, tds_pct=0.1),
    "shots far off the dials": lambda: far_off(12),
    "no scores": lambda: pulled(PLAIN, 12, score=None, balance=None),
    "only scores": lambda: pulled(PLAIN, 12, time_s=None, yield_g=None, balance=None),
    "only notes": lambda: pulled(PLAIN, 12, time_s=None, yield_g=None, score=None),
    "nothing noted": lambda: pulled(PLAIN, 12, time_s=None, yield_g=None, score=None, balance=None),
    "choked coarse, gushing fine": lambda: [
        *[Shot(recipe=at_share(PLAIN, 1.0), fault="choked")] * 6,
        *[Shot(recipe=at_share(PLAIN, 0.0), time_s=1)] * 6,
    ],
    "days before and after": lambda: [
        Shot(recipe=at_share(PLAIN, 0.5), score=7, time_s=27, pulled_at=day)
        for day in (datetime(1, 1, 1), datetime(9999, 12, 31), datetime(2026, 1, 1, tzinfo=UTC))
    ],
    **{f"all {fault}": lambda fault=fault: pulled(PLAIN, 12, fault=fault) for fault in FAULTS},  # type: ignore[misc]
}
LONG_LOGS: dict[str, Callable[[], list[Shot]]] = {
    "a thousand shots": lambda: pulled(PLAIN, 1000),
    "a thousand identical shots": lambda: alike(1000, time_s=27, yield_g=36, score=7, balance=0),
    "a thousand, loved and loathed": lambda: by_turns(
        1000, {"score": 0, "balance": -3, "time_s": 1}, {"score": 10, "balance": 3, "time_s": 600}
    ),
    "a thousand choked": lambda: pulled(PLAIN, 1000, fault="choked"),
    "a hundred far off the dials": lambda: far_off(100),
}


@pytest.mark.parametrize("name", [*LOGS])
def test_a_strange_log(name: str) -> None:
    advised(PLAIN, LOGS[name]())


@pytest.mark.slow
@pytest.mark.parametrize("name", [*LONG_LOGS])
def test_a_long_strange_log(name: str) -> None:
    advised(PLAIN, LONG_LOGS[name](), today=date(2026, 3, 1))


@pytest.mark.parametrize(
    "pairing",
    [
        *(pytest.param(bench(dial), id=f"grind, {name}") for name, dial in GRINDS.items()),
        *(pytest.param(bench(dose_g=dial), id=f"dose, {name}") for name, dial in DOSES.items()),
        *(pytest.param(bench(temp_c=dial), id=f"temperature, {name}") for name, dial in TEMPS.items()),
        *(pytest.param(bench(ratio=dial), id=f"ratio, {name}") for name, dial in RATIOS.items()),
        pytest.param(bench(GRINDS["two"], DOSES["two"], TEMPS["two"], ratio=RATIOS["two"]), id="two of each"),
        pytest.param(bench(GRINDS["one"], DOSES["one"], TEMPS["one"]), id="one of each"),
    ],
)
def test_strange_dials(pairing: Pairing) -> None:
    advised(pairing, [])
    advised(pairing, pulled(pairing, 4))


@pytest.mark.slow
def test_twenty_earlier_pairings() -> None:
    benches = (PLAIN, bench(finer="up"), bench(GRINDS["tiny"]), bench(GRINDS["one"]), bench(GRINDS["below zero"]))
    earlier = [(pairing, pulled(pairing, count)) for pairing in benches for count in (0, 1, 100, 12)]
    assert len(earlier) == 20
    advised(PLAIN, pulled(PLAIN, 3), earlier=earlier)


@pytest.mark.slow
@given(cases())
@settings(max_examples=20, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
def test_whatever_the_dials_and_the_log(
    case: tuple[Pairing, list[Shot], list[tuple[Pairing, list[Shot]]], int],
) -> None:
    pairing, shots, earlier, seed = case
    advised(pairing, shots, earlier=earlier, seed=seed)


@pytest.mark.parametrize("factor", [2.0**-12, 2.0**12])
def test_the_unit_of_a_grind_dial_makes_no_difference(factor: float) -> None:
    """By a power of two, so that every share of the dial is the very same number."""
    scaled = bench(Dial(0, 40 * factor, factor))
    one, other = advise(PLAIN, pulled(PLAIN, 5)), advise(scaled, pulled(scaled, 5))
    assert other.next_recipe.grind == one.next_recipe.grind * factor
    assert other.sweet_spot.recipe.grind == one.sweet_spot.recipe.grind * factor
    assert other.sweet_spot.score == one.sweet_spot.score
    assert other.expected == one.expected
    assert other.settled == one.settled


@cache
def _ordinary_s(count: int) -> float:
    return _quickest_s(PLAIN, pulled(PLAIN, count))


def _quickest_s(pairing: Pairing, shots: Sequence[Shot]) -> float:
    seconds = []
    for _ in range(2):
        began = time.process_time()
        advise(pairing, shots)
        seconds.append(time.process_time() - began)
    return min(seconds)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "count"),
    [
        ("strength of syrup", 12),
        ("a hundred far off the dials", 100),
    ],
)
def test_a_strange_log_takes_hardly_longer_than_an_ordinary_one(name: str, count: int) -> None:
    """In processor time beside that of as many ordinary shots."""
    shots = (LOGS | LONG_LOGS)[name]()
    assert _quickest_s(PLAIN, shots) < 2.5 * _ordinary_s(count)


@pytest.mark.slow
def test_a_self_contradicting_log_on_wide_dials_takes_hardly_longer_either() -> None:
    """Forty tastings that no curve fits: without a bound on the steps to the posterior four times as long."""
    wide, rng = bench(dose_g=DOSES["wide"], temp_c=TEMPS["wide"]), np.random.default_rng(5)
    shots = [
        Shot(
            recipe=at_share(wide, *rng.uniform((-1, 0, 0), (2, 1, 1))),
            score=float(rng.choice([0, 3, 5, 10])),
            time_s=float(rng.choice([1, 27, 60, 600])),
            balance=float(rng.choice([-3, 0, 3])),
        )
        for _ in range(40)
    ]
    check(wide, shots, advise(wide, shots))
    assert _quickest_s(wide, shots) < 2.5 * _ordinary_s(100)
