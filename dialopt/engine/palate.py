"""The palate: how far repeated scores scatter, and where balanced lies for whoever notes it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Protocol

import numpy as np

from dialopt.engine.advice import Estimate, Palate
from dialopt.engine.interval import central
from dialopt.engine.scale import on_scale
from dialopt.model.observations import Floats, Inputs, inputs
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

FEW_REPEATS = 3
"""With so many repeats the scatter has been seen at first hand, and each one more tells little."""
WIDE = 2.0
"""A noise whose upper end is more than so many times its lower end is hardly known."""
FEWEST_TASTINGS = 3
"""Before that a new recipe teaches more than an old one."""


class Taster(Protocol):
    """The part of a posterior that tells of the palate; arrays over P draws."""

    @property
    def score_sd(self) -> Floats:
        """Repeat noise of a noted score, (P,)."""

    @property
    def note_offset(self) -> Floats:
        """What the best cup is noted as, (P,)."""

    def liking(self, at: Inputs) -> Floats:
        """Liking at n settings, (P, n)."""


def palate(pairing: Pairing, shots: Sequence[Shot], taster: Taster, next_test: Recipe | None = None) -> Palate:
    """What the log says of the palate. next_test: the most useful test shot; None when testing is over."""
    tasted = [pairing.as_dialled(shot.recipe) for shot in shots if shot.tasted]
    noise = central(taster.score_sd)
    repeats = len(tasted) - len(Counter(tasted))
    return Palate(
        noise=noise,
        offset=central(taster.note_offset),
        repeats=repeats,
        notes=sum(shot.balance is not None and shot.fault is None for shot in shots),
        repeat=_worth_repeating(pairing, tasted, taster, noise, repeats, next_test),
    )


def _worth_repeating(
    pairing: Pairing, tasted: list[Recipe], taster: Taster, noise: Estimate, repeats: int, next_test: Recipe | None
) -> Recipe | None:
    """The most useful test shot where that is a repeat; else, while the noise is hardly known, the best cup so far.

    The best cup, because repeating it is a test that is a pleasure to drink.
    """
    if next_test is None:
        return None
    if next_test in tasted:
        return next_test
    if len(tasted) < FEWEST_TASTINGS or repeats >= FEW_REPEATS or noise.high <= WIDE * noise.low:
        return None
    known = [*Counter(tasted)]
    return known[int(np.argmax(on_scale(taster.liking(inputs(pairing, known))).mean(axis=0)))]
