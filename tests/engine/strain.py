"""Pairings and logs that nobody would wish for, and what must hold of any advice all the same."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import UTC, datetime

import numpy as np
from hypothesis import strategies as st

from dialopt import FAULTS, Advice, BagRecipe, Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot, advise
from dialopt.engine.advice import Estimate
from dialopt.trade.fields import LEAST_RATIO, MOST_RATIO

GRINDS = {
    "plain": Dial(0, 40, 1),
    "two": Dial(0, 1, 1),
    "one": Dial(17, 17),
    "many": Dial(0, 250, 1),
    "thousands": Dial(0, 100_000, 1),
    "huge": Dial(0, 100_000, 500),
    "tiny": Dial(0, 0.01, 0.0005),
    "minute": Dial(0, 2e-8, 1e-9),
    "below zero": Dial(-1e9, 1e9, 1e5),
    "far out": Dial(999_999_980, 1e9, 1),
}
DOSES = {
    "plain": Dial(16.5, 20, 0.1),
    "one": Dial(18, 18),
    "two": Dial(18, 18.5, 0.5),
    "fine": Dial(17.9, 18.1, 0.001),
    "wide": Dial(1, 60, 0.1),
}
TEMPS = {
    "plain": Dial(88, 96, 1),
    "one": Dial(93, 93),
    "two": Dial(92, 93, 1),
    "wide": Dial(20, 110, 0.5),
}
RATIOS = {
    "plain": Dial(1.5, 3, 0.1),
    "two": Dial(2, 2.5, 0.5),
    "wide": Dial(0.5, 6, 0.1),
    "fine": Dial(1.9, 2.1, 0.001),
}


def bench(
    grind: Dial = GRINDS["plain"],
    dose_g: Dial = DOSES["plain"],
    temp_c: Dial = TEMPS["plain"],
    *,
    finer: str = "down",
    bean: Bean | None = None,
    ratio: float | Dial = 2.0,
) -> Pairing:
    """A pairing on these dials."""
    return Pairing(
        bean=bean or Bean(name="washed sample"),
        grinder=Grinder(name="bench grinder", grind=grind, finer=finer),
        machine=Machine(name="bench machine", temp_c=temp_c),
        basket=Basket(dose_g=dose_g),
        ratio=ratio,
    )


def at_share(
    pairing: Pairing, grind: float, dose_g: float = 0.5, temp_c: float = 0.5, ratio: float | None = None
) -> Recipe:
    """A recipe at these shares of the dials, of which those below 0 and above 1 lie off them; None for the usual
    ratio.
    """
    shares = {"grind": grind, "dose_g": dose_g, "temp_c": temp_c, "ratio": ratio or 0.0}
    values = {}
    for name, dial in pairing.dials.items():
        span = dial.high - dial.low or dial.step
        values[name] = dial.low + shares[name] * span
    return Recipe(
        grind=min(max(values["grind"], -1e9), 1e9),
        dose_g=min(max(values["dose_g"], 1.0), 60.0),
        temp_c=min(max(values["temp_c"], 20.0), 110.0),
        ratio=None if ratio is None else min(max(values["ratio"], LEAST_RATIO), MOST_RATIO),
    )


def check(pairing: Pairing, shots: Sequence[Shot], advice: Advice) -> None:
    """Finite, on the dials, and of one mind."""
    spot = advice.sweet_spot
    for recipe in (advice.next_recipe, spot.recipe, *(spot.near_optimal_ridge or ()), *spot.modes):
        assert pairing.check(recipe) == recipe
    for level in (0.0, 0.01, 0.5, 0.9, 0.999, 1.0):
        assert spot.contains(spot.recipe, level)
    assert_range(spot.score, 0, 10)
    assert_range(advice.expected.score, 0, 10)
    assert_range(advice.expected.time_s, 1, math.exp(7))
    assert 0 <= spot.prob_near_optimal <= 1
    assert 0 <= advice.gp_weight <= 1
    assert advice.shots_left >= 0
    assert advice.reason.endswith(".")
    assert "nan" not in advice.reason
    if advice.finer_today is not None:
        assert_range(advice.finer_today, -math.inf, math.inf)
    assert advice.palate is not None
    assert_range(advice.palate.noise, 0, 100)
    assert_range(advice.palate.offset, -100, 100)
    asked = [advice.next_recipe, spot.recipe, *(shot.recipe for shot in shots[-3:])]
    found = advice.predict(asked)
    for values in (found.score_mean, found.score_sd, found.score_low, found.score_high, found.time_s):
        assert np.isfinite(values).all()
    assert np.all((found.score_low >= 0) & (found.score_low <= found.score_high) & (found.score_high <= 10))
    assert np.all((found.score_mean >= 0) & (found.score_mean <= 10) & (found.time_s >= 1))
    compared = advice.compare(advice.next_recipe, spot.recipe)
    assert 0 <= compared.chance_better <= 1
    assert_range(compared.by, -math.inf, math.inf)


def assert_range(span: Estimate, low: float, high: float) -> None:
    assert all(math.isfinite(value) for value in (span.mean, span.low, span.high))
    assert low <= span.low <= span.high <= high
    assert low <= span.mean <= high


def advised(pairing: Pairing, shots: Sequence[Shot], **how: object) -> Advice:
    """Advice that was looked over."""
    advice = advise(pairing, shots, **how)  # type: ignore[arg-type]  # whatever advise takes
    check(pairing, shots, advice)
    return advice


MOMENTS = st.datetimes(datetime(1, 1, 2), datetime(9999, 12, 30), timezones=st.sampled_from([None, UTC]))
SHARES = st.sampled_from([0.0, 0.25, 0.5, 0.75, 1.0]) | st.floats(0, 1) | st.floats(-3, 4) | st.floats(-1e6, 1e6)
SUGGESTIONS = st.none() | st.builds(
    BagRecipe,
    dose_g=st.floats(1, 60),
    ratio=st.none() | st.floats(0.5, 6),
    time_s=st.none() | st.floats(5, 120),
    temp_c=st.none() | st.floats(70, 100),
)
BEANS = st.builds(
    Bean,
    name=st.sampled_from(["washed sample", "another"]),
    roast=st.sampled_from([None, "light", "dark"]),
    bag_g=st.sampled_from([None, 1.0, 250.0, 100_000.0]),
    suggested=SUGGESTIONS,
)
DIALS = st.builds(
    lambda low, step, count: Dial(low, low + step * count, step),
    st.integers(-1000, 1000),
    st.sampled_from([1e-6, 0.001, 0.1, 0.25, 1, 7, 1000]),
    st.integers(0, 300),
)
PAIRINGS = st.builds(
    bench,
    st.sampled_from([*GRINDS.values()]) | DIALS,
    st.sampled_from([*DOSES.values()]),
    st.sampled_from([*TEMPS.values()]),
    finer=st.sampled_from(["down", "up"]),
    bean=BEANS,
    ratio=st.sampled_from([2.0, 2.0, 0.5, 6.0, *RATIOS.values()]),
)


@st.composite
def logs(draw: st.DrawFn, pairing: Pairing, most: int = 12) -> list[Shot]:
    """Shots of a pairing: some like the one before, some off the dial, some contradicting themselves."""
    recipe = st.builds(lambda *shares: at_share(pairing, *shares), SHARES, SHARES, SHARES, st.none() | SHARES)
    shot = st.builds(
        Shot,
        recipe=recipe,
        yield_g=st.none() | st.sampled_from([0.1, 36.0, 500.0]) | st.floats(0.1, 500),
        time_s=st.none() | st.sampled_from([1.0, 27.0, 600.0]) | st.floats(1, 600),
        score=st.none() | st.sampled_from([0.0, 5.0, 10.0]) | st.floats(0, 10),
        balance=st.none() | st.integers(-3, 3) | st.floats(-3, 3),
        fault=st.sampled_from([None, None, None, None, *FAULTS]),
        tds_pct=st.none() | st.floats(0.1, 30),
        pulled_at=st.none() | MOMENTS,
    )
    found = draw(st.lists(shot, max_size=most))
    again = draw(st.integers(0, 3))
    return found + found[-1:] * again


@st.composite
def cases(draw: st.DrawFn, earlier: int = 5) -> tuple[Pairing, list[Shot], list[tuple[Pairing, list[Shot]]], int]:
    """A pairing, its log, other pairings with theirs, and a seed."""
    pairing = draw(PAIRINGS)
    others = []
    for _ in range(draw(st.integers(0, earlier)) if draw(st.integers(0, 4)) == 0 else 0):
        other = draw(PAIRINGS)
        others.append((other, draw(logs(other, 5))))
    return pairing, draw(logs(pairing)), others, draw(st.integers(0, 2**70))
