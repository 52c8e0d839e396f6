"""Intervals hold under strain what they hold without: on dials and logs nobody would wish for, and truths of the prior.

A world is a draw of the model's own prior (`tests.model.generate`); some of its shots are read, the rest is predicted.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import pytest

from dialopt import Advice, Dial, Pairing, Recipe, Shot, advise
from dialopt.model.observations import Floats, Observations, inputs_from_array
from dialopt.trade.pairing import FAR_TEMP_C
from tests.engine.strain import GRINDS, RATIOS, TEMPS, bench
from tests.model.generate import generate, some_settings

WORLDS, HELD_OUT, LEVEL = 12, 4, 0.9


class Strain(NamedTuple):
    """A bench, how many shots are read, what becomes of their settings and what is left out of what was noted."""

    pairing: Pairing
    read: int
    moved: Callable[[Floats, np.random.Generator], Floats] = lambda raw, rng: raw
    left_out: tuple[str, ...] = ()


def _alike(raw: Floats, rng: np.random.Generator) -> Floats:
    return np.repeat(raw[:1], len(raw), axis=0)


def _beyond(raw: Floats, rng: np.random.Generator) -> Floats:
    """Off the dials, as far as shots are read at all."""
    return raw + rng.uniform(-1, 1, raw.shape) * (30.0, 3.5, 0.8 * FAR_TEMP_C, 0.0)


STRAINS = {
    "two settings": Strain(bench(GRINDS["two"], temp_c=TEMPS["two"]), 8),
    "three hundred settings": Strain(bench(Dial(0, 300, 1)), 8),
    "tiny units": Strain(bench(GRINDS["tiny"]), 8),
    "huge units": Strain(bench(GRINDS["huge"]), 8),
    "identical shots": Strain(bench(), 8, _alike),
    "off the dials": Strain(bench(), 8, _beyond),
    "only scores": Strain(bench(), 8, left_out=("time_s", "balance")),
    "only times": Strain(bench(), 8, left_out=("score", "balance")),
    "forty": Strain(bench(), 40),
    "a ratio that turns": Strain(bench(ratio=RATIOS["plain"]), 8),
}


def _shot(observations: Observations, row: int, left_out: tuple[str, ...]) -> Shot:
    grind, dose_g, temp_c, ratio = map(float, observations.at.raw[row])
    noted = {
        "time_s": float(np.clip(np.exp(observations.log_time[row]), 1, 600)),
        "score": float(np.clip(observations.score[row], 0, 10)),
        "balance": float(observations.balance[row]),
    }
    kept = {name: value for name, value in noted.items() if name not in left_out}
    return Shot(recipe=Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c, ratio=ratio), **kept)  # type: ignore[arg-type]


def _held(advice: Advice, shots: list[Shot], liking: Floats) -> np.ndarray:
    """For each shot: whether score and time fell into their intervals, and how far off its liking was."""
    found = []
    for shot, true in zip(shots, liking, strict=True):
        outcome = advice.predict_outcome(shot.recipe, LEVEL)
        assert shot.score is not None
        assert shot.time_s is not None
        off = abs(float(advice.predict([shot.recipe]).score_mean[0]) - float(np.clip(true, 0, 10)))
        score, seconds = outcome.score, outcome.time_s
        found.append((score.low <= shot.score <= score.high, seconds.low <= shot.time_s <= seconds.high, off))
    return np.array(found, dtype=float)


def _judged(strain: Strain, number: int) -> tuple[np.ndarray, np.ndarray]:
    """Mean of `_held` over worlds, by nothing but the prior and by what was read."""
    before, after = [], []
    blank = advise(strain.pairing, [])
    for world in range(WORLDS):
        rng = np.random.default_rng([41, number, world])
        raw = some_settings(strain.pairing, strain.read + HELD_OUT, rng).raw
        raw[: strain.read] = strain.moved(raw[: strain.read], rng)
        _, liking, observations = generate(inputs_from_array(strain.pairing, raw), rng)
        shots = [_shot(observations, row, strain.left_out if row < strain.read else ()) for row in range(len(raw))]
        held_out, true = shots[strain.read :], liking[strain.read :]
        before.append(_held(blank, held_out, true))
        after.append(_held(advise(strain.pairing, shots[: strain.read]), held_out, true))
    return np.concatenate(before).mean(axis=0), np.concatenate(after).mean(axis=0)


@pytest.mark.slow
def test_intervals_hold_under_strain_and_no_log_is_worse_than_none() -> None:
    """Of 48 held-out shots a strain, some of one world: a standard error of about 0.06 each, of all of 0.02.

    With twice the worlds scores fall within 85–93 % of the intervals and times within 88–92 %; by the prior alone
    94–96 % and 86–92 %.
    """
    found = {name: _judged(strain, number) for number, (name, strain) in enumerate(STRAINS.items())}
    for name, (_, after) in found.items():
        assert min(after[:2]) > LEVEL - 0.25, (name, found)
    before, after = (np.mean([pair[side] for pair in found.values()], axis=0) for side in (0, 1))
    assert min(after[:2]) > LEVEL - 0.07, found
    assert max(np.abs(after[:2] - LEVEL) - np.abs(before[:2] - LEVEL)) < 0.04, found
    assert after[2] < 0.7 * before[2], found
