"""Logs drawn from the model's own belief, for checks of the sampler: prior draw → curve → shots as arrays."""

from __future__ import annotations

import numpy as np

from dialopt import Pairing
from dialopt.model.likelihood import SPOILED_CLOCK, SPOILED_CLOCK_SHARE, SPOILED_SCORE, taster_sd
from dialopt.model.priors import BAD_SHARE, NAMES, PEAK, unpack
from dialopt.model.residual import basis
from dialopt.model.table import Floats, Settings, Table, settings_from_array
from dialopt.model.trade_curve import extraction_index, liking_lost, log_clock


def some_settings(pairing: Pairing, count: int, rng: np.random.Generator) -> Settings:
    rows = [[dial.settings()[rng.integers(dial.count)] for dial in pairing.dials.values()] for _ in range(count)]
    return settings_from_array(pairing, np.array(rows, dtype=float).reshape(-1, 3))


def generate(at: Settings, rng: np.random.Generator) -> tuple[Floats, Floats, Table]:
    """A prior draw's coordinates, (k,), the true liking at each setting, (n,), and the shots' table."""
    point = rng.standard_normal((1, len(NAMES)))
    curve = unpack(point)
    count = len(at.fine)
    clock = log_clock(curve, at)
    index = extraction_index(curve, at, clock)
    weights = rng.standard_normal(basis(at.box).shape[1])
    peak = PEAK.centre + PEAK.spread * rng.standard_normal()
    liking = (peak - liking_lost(curve, at, index))[0] + curve["residual_sd"][0, 0] * (basis(at.box) @ weights)
    spoiled = rng.random(count) < BAD_SHARE
    shown = spoiled & (rng.random(count) < SPOILED_CLOCK_SHARE)
    log_time = clock[0] + curve["clock_sd"][0, 0] * rng.standard_normal(count)
    log_time += shown * (SPOILED_CLOCK[0] + SPOILED_CLOCK[1] * rng.standard_normal(count))
    score = liking + taster_sd(curve)[0, 0] * rng.standard_normal(count)
    score += spoiled * (SPOILED_SCORE[0] + SPOILED_SCORE[1] * rng.standard_normal(count))
    middle = curve["note_offset"] + curve["note_gain"] * index + curve["note_sd"] * rng.standard_normal((1, count))
    balance = np.clip(np.rint(middle[0]), -3, 3)
    silent = spoiled | (rng.random(count) < np.minimum(curve["note_lapse"][0, 0], 0.9))
    balance[silent] = rng.integers(-3, 4, size=int(silent.sum()))
    table = Table(
        at=at,
        log_time=log_time,
        score=score,
        balance=balance.astype(float),
        extraction=np.full(count, np.nan),
        choked=np.zeros(count, dtype=bool),
    )
    return point[0], liking, table
