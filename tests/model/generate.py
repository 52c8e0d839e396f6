"""Logs drawn from the model's own prior, for checks of the sampler: prior draw → curve → shots as arrays."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from dialopt import Pairing
from dialopt.model.config import MODEL
from dialopt.model.discrepancy import basis
from dialopt.model.initial import BREADTH, BROAD_SHARE
from dialopt.model.likelihood import (
    _CHOKING_SPREAD,
    _OUTLIER_YIELD_SPREAD,
    OUTLIER_SCORE,
    OUTLIER_TIME,
    OUTLIER_TIME_SHARE,
    SLIP_SHARE,
    SLIP_SPREAD,
    TIME_READING,
    taster_sd,
)
from dialopt.model.mean_function import extraction_index, liking_lost, median_log_time
from dialopt.model.observations import CHOKED_S, Bools, Floats, Inputs, Observations, aged, inputs_from_array
from dialopt.model.priors import NAMES, PEAK, PRIORS, Parameters

TODAY = date(2026, 1, 31)


def some_settings(pairing: Pairing, count: int, rng: np.random.Generator, *, over_days: int = 0) -> Inputs:
    """Settings anywhere on the dials, pulled today or on any of so many days before."""
    rows = [[dial.settings()[rng.integers(dial.count)] for dial in pairing.dials.values()] for _ in range(count)]
    ages = None
    if over_days:
        days = sorted(TODAY - timedelta(days=int(back)) for back in rng.integers(0, over_days + 1, count))
        ages = np.array([aged(day, TODAY) for day in days])
    return inputs_from_array(pairing, np.array(rows, dtype=float).reshape(-1, 4), ages)


def generate(
    at: Inputs, rng: np.random.Generator, *, choked: int = 0, strength: bool = False, verdicts: int = 0
) -> tuple[Floats, Floats, Observations]:
    """A prior draw's coordinates, (k,), the true liking at each setting, (n,), and the shots' table.

    choked: so many of the first shots are taken to have choked, so the draw is one under which they did. strength:
    whether extraction yield was measured. verdicts: so many between two of the cups that didn't choke.
    """
    point = _choking(at.rows(np.arange(choked)), rng)
    parameters = PRIORS.unpack(point)
    count = len(at.fine)
    log_time = median_log_time(parameters, at)
    index = extraction_index(parameters, at, log_time)
    weights = rng.standard_normal(basis(at).shape[1])
    peak = PEAK.centre + PEAK.spread * rng.standard_normal()
    liking = (peak - liking_lost(parameters, at, index))[0] + parameters["discrepancy_sd"][0, 0] * (basis(at) @ weights)
    outlier = rng.random(count) < MODEL.outlier_share
    kind = rng.random(count)
    shown = outlier & (kind < OUTLIER_TIME_SHARE)
    slipped = outlier & (kind > 1 - SLIP_SHARE)
    scatter = np.hypot(parameters["time_sd"][0, 0], TIME_READING)
    log_time = log_time[0] + np.where(slipped, SLIP_SPREAD, scatter) * rng.standard_normal(count)
    log_time += shown * (OUTLIER_TIME[0] + OUTLIER_TIME[1] * rng.standard_normal(count))
    score = liking + taster_sd(parameters)[0, 0] * rng.standard_normal(count)
    score += outlier * (OUTLIER_SCORE[0] + OUTLIER_SCORE[1] * rng.standard_normal(count))
    middle = (
        parameters["note_offset"]
        + parameters["note_gain"] * index
        + parameters["note_sd"] * rng.standard_normal((1, count))
    )
    balance = np.clip(np.rint(middle[0]), -3, 3)
    silent = outlier | (rng.random(count) < np.minimum(parameters["note_lapse"][0, 0], 0.9))
    balance[silent] = rng.integers(-3, 4, size=int(silent.sum()))
    extraction = np.full(count, np.nan)
    if strength:
        spread = np.hypot(parameters["yield_sd"][0, 0], _OUTLIER_YIELD_SPREAD * outlier)
        extraction = (parameters["yield_best"] + parameters["yield_slope"] * index)[0] + spread * rng.standard_normal(
            count
        )
    hidden = np.arange(count) < choked
    one, other, says = _verdicts(parameters, liking, outlier, _pairs(choked, count, verdicts, rng), rng)
    observations = Observations(
        at=at,
        log_time=np.where(hidden, np.nan, log_time),
        score=np.where(hidden, np.nan, score),
        balance=np.where(hidden, np.nan, balance),
        extraction=np.where(hidden, np.nan, extraction),
        choked=hidden,
        one=one,
        other=other,
        says=says,
    )
    return point[0], liking, observations


def _pairs(first: int, count: int, verdicts: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """So many pairs of two of the shots from `first` on, one and other, (verdicts, 2)."""
    drawn = [first + rng.permutation(count - first)[:2] for _ in range(verdicts)]
    return np.array(drawn, dtype=int).reshape(-1, 2)


def _verdicts(
    parameters: Parameters, liking: Floats, outlier: Bools, pairs: NDArray[np.intp], rng: np.random.Generator
) -> tuple[NDArray[np.intp], NDArray[np.intp], Floats]:
    """One, other and what is said of them, (K,) each: the cups as tasted side by side, each outlier off by its own."""
    tasted = liking[pairs]
    tasted += outlier[pairs] * (OUTLIER_SCORE[0] + OUTLIER_SCORE[1] * rng.standard_normal(pairs.shape))
    lead = tasted[:, 0] - tasted[:, 1] + parameters["verdict_sd"][0, 0] * rng.standard_normal(len(pairs))
    says = np.where(np.abs(lead) < parameters["same_within"][0, 0], 0.0, np.sign(lead))
    return pairs[:, 0], pairs[:, 1], says


def _choking(at: Inputs, rng: np.random.Generator) -> Floats:
    """A draw of the prior under which a puck at each of these settings chokes, (1, k).

    Choking is a toss by the shot time, so a draw is kept when all tosses say so: what is left is the prior given that.
    """
    while True:
        point = rng.standard_normal((1, len(NAMES))) * (BREADTH if rng.random() < BROAD_SHARE else 1.0)
        late = (median_log_time(PRIORS.unpack(point), at)[0] - np.log(CHOKED_S)) / _CHOKING_SPREAD
        if np.all(rng.random(len(late)) < ndtr(late)):
            return point
